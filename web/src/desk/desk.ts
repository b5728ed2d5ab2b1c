// State of the desk screen. Every decision is an event of this browser's own journal: kept here first, then on the server.

import * as db from "../lib/db";
import { Journal } from "../lib/journal";
import { Refused, ask, give } from "../lib/sync";
import type { Event, Fields, House } from "../lib/types";
import { Player } from "./player";
import { loose, sure, timed } from "./record";
import type { Box, Condition, Finding, Matter, Photo, PlateField, Rec, Walk } from "./record";

export type Panel = "report" | "drafts" | "loose" | "doubts" | "gaps" | "loops" | "others" | "find" | "history" | "twice";
export type Form = "" | "reword" | "standing" | "place" | "merge" | "split" | "aside" | "why" | "draft" | "fact";
export interface Listed { id: string; name: string; started: string; photos: number }
export interface Hidden { boxes: Box[]; open: Box[] }
interface Taken { n: number; event: Event }

const AGAIN_MS = 4000, PAGE = 1000, PER_S = 8;
const GAPS = ["gap", "unverified_gap", "there"], APART = ["pencil", "loose", "loop", "asked_loop", ...GAPS];

class Desk {
  visits?: Listed[];
  visit = "";
  rec?: Rec;
  walks: Walk[] = [];
  words = new Map<string, [string, number][]>();
  peaks = new Map<string, number[]>();
  house?: House;
  events: Event[] = [];
  /** Decisions of decisions.jsonl: made on the command line, or before there were events. */
  lines: Event[] = [];
  /** What a finding can be made of by hand. */
  catalogue?: Condition[];
  readonly player = new Player(() => this.changed());
  /** Subjects whose new text is being made: the last event about each. */
  private waiting = new Map<string, string>();
  /** Subjects of what is still being written down, and how many things that is. */
  private writing = new Map<string, number>();
  /** What was decided to hide in a picture, until the record knows of it: each such decision builds on the one before. */
  private hiding = new Map<string, Hidden>();
  judging = "";
  failed = false;
  online = true;
  said = "";
  trouble = "";
  panel: Panel = "report";
  /** What J and K move in: the drafts, or the list that is open. */
  inList = false;
  draft = "";
  item = "";
  itemAt = 0;
  form: Form = "";
  /** What the open form is about. */
  about = "";
  keys = true;
  query = "";
  wide = false;
  picture = "";
  report = 0;
  private journal?: Journal;
  private numbers = new Map<string, number>();
  private cursor = 0;
  private etag = "";
  private live?: EventSource;
  private sending = false;
  private unsent = 0;
  changed: () => void = () => {};

  async begin(): Promise<void> {
    this.keys = (await db.setting<boolean>("desk keys")) ?? true;
    addEventListener("hashchange", () => { if (id(location.hash) !== this.visit) location.reload(); });
    setInterval(() => void this.again(), AGAIN_MS);
    await this.list();
    const wanted = id(location.hash);
    if (wanted) await this.open(wanted);
  }

  private async again(): Promise<void> {
    if (!this.visit) { if (!this.visits || !this.online) await this.list(); }
    else if (!this.live) await this.open(this.visit);
    else if (!this.rec && !this.judging) await this.fetchRecord();
    else await this.send();
  }

  async list(): Promise<void> {
    try {
      this.visits = ((await (await ask("visits")).json()) as { visits: Listed[] }).visits;
      this.online = true;
    } catch { this.online = false; }
    this.changed();
  }

  async open(visit: string): Promise<void> {
    this.visit = visit;
    location.hash = visit;
    this.changed();
    try {
      this.journal ??= await Journal.open(visit, (await db.setting<string>(`desk ${visit}`)) ?? "");
      await db.keepSetting(`desk ${visit}`, this.journal.device);
      await this.take();
      this.listen();
      await this.fetchWords();
      await this.fetchRecord();
      void this.fetchHouse();
      void this.fetchLines();
      void this.send();
    } catch (err) { this.fault(err); }
    this.changed();
  }

  private door(path: string): string { return `visits/${this.visit}/${path}`; }

  /** Every event that the server has; their clocks are heard, so that what is decided now comes after them. */
  private async take(): Promise<void> {
    for (let more = true; more; ) {
      const said = (await (await ask(this.door(`events?after=${this.cursor}&most=${PAGE}`))).json()) as { events: Taken[]; cursor: number; more: boolean };
      said.events.forEach((e) => this.heard(e));
      [this.cursor, more] = [said.cursor, said.more];
    }
    for (const { event } of await db.events(this.visit, this.journal!.device)) this.known(event);
  }

  private known(event: Event): void { if (!this.events.some((e) => e.id === event.id && e.prev === event.prev)) this.events.push(event); }
  private heard({ n, event }: Taken): void {
    this.journal!.heard(event);
    this.numbers.set(event.id, n);
    this.known(event);
  }

  private listen(): void {
    this.live?.close();
    const live = (this.live = new EventSource(`/api/1/${this.door(`live?after=${this.cursor}`)}`));
    const on = (kind: string, act: (data: never) => void) =>
      live.addEventListener(kind, (e) => { this.online = true; act(JSON.parse((e as MessageEvent<string>).data) as never); this.changed(); });
    on("event", (data: Taken) => {
      this.heard(data);
      if (["word", "audio"].includes(data.event.kind)) this.wordsOld = true;
      const subject = String(data.event.subject ?? "");
      const was = this.waiting.get(subject), mine = was !== undefined && !this.numbers.has(was);  // not there yet, so it comes later
      if (subject && data.event.device !== this.journal!.device && !mine) this.waiting.set(subject, data.event.id);
    });
    on("judging", (data: { state: string; step: string; trouble: string }) => {
      this.judging = data.state === "working" || data.state === "waiting" ? data.step || "the drafts are made anew" : "";
      this.failed = data.state === "failed";
      if (this.failed) this.trouble = data.trouble;
    });
    on("judged", () => { this.trouble = ""; void this.fetchRecord(); });
    on("facts", () => { this.wordsOld = true; void this.fetchHouse(); });
    on("ping", () => undefined);
    live.onerror = () => { this.online = false; this.changed(); };
  }

  private wordsOld = false;
  private async fetchWords(): Promise<void> {
    this.walks = ((await (await ask(this.door("words"))).json()) as { walks: Walk[] }).walks;
    this.wordsOld = false;
    for (const { sound } of this.walks) if (sound && !this.peaks.has(sound)) void this.fetchPeaks(sound);
  }

  private async fetchPeaks(sound: string): Promise<void> {
    try {
      const path = sound.split("/").map(encodeURIComponent).join("/");
      const said = await fetch(`/api/1/${this.door(`peaks/${path}?per_s=${PER_S}`)}`);
      if (said.ok) this.peaks.set(sound, ((await said.json()) as { peaks: number[] }).peaks);
    } catch { /* the axis does without */ }
    this.changed();
  }

  private async fetchHouse(): Promise<void> {
    try { this.house = (await (await ask(this.door("kit"))).json()) as House; } catch { /* the drawing stays away */ }
    this.changed();
  }

  private async fetchLines(): Promise<void> {
    try {
      const said = (await (await ask(this.door("decisions"))).json()) as { decisions: Fields[] };
      this.lines = said.decisions.map((d) => ({ ...d, v: 0, seq: Number(d.line), prev: "", kind: "decision" }) as unknown as Event);
    } catch { /* an older server does not list them */ }
    this.changed();
  }

  /** The catalogue is long, and asked for when somebody makes a finding. */
  async fetchCatalogue(): Promise<void> {
    try { this.catalogue ??= ((await (await ask(this.door("catalogue"))).json()) as { conditions: Condition[] }).conditions; } catch (err) { this.fault(err); }
    this.changed();
  }

  async fetchRecord(): Promise<void> {
    const turn = ++this.asked;
    try {
      if (this.wordsOld) await this.fetchWords();
      const said = await ask(this.door("record")), etag = said.headers.get("ETag") ?? "";
      const upTo = Number(said.headers.get("X-Kingpost-Cursor"));
      const rec = etag !== this.etag || !this.rec ? ((await said.json()) as Rec) : this.rec;
      if (turn < this.got) return;  // a later answer has overtaken this one
      this.got = turn;
      if (etag !== this.etag || !this.rec) {
        this.rec = rec;
        this.etag = etag;
        this.words = timed(this.rec.remarks, this.walks);
        this.report += 1;
      }
      for (const [subject, event] of this.waiting) if ((this.numbers.get(event) ?? Infinity) <= upTo) this.done(subject);
      const first = !this.draft;
      if (!this.drafts.some((f) => f.id === this.draft)) this.draft = (this.drafts.find((f) => f.number >= this.lastNumber) ?? this.drafts.at(-1))?.id ?? "";
      if (first && this.draft && !this.player.source) this.cue();
      this.online = true;
    } catch (err) {
      if (err instanceof Refused && err.status === 404) this.judging ||= "the first drafts are being made";
      else this.fault(err);
    }
    this.changed();
  }
  private lastNumber = 0;
  private asked = 0; private got = 0;
  private done(subject: string): void {
    this.waiting.delete(subject);
    if (!this.writing.has(subject)) this.hiding.delete(subject);
  }

  /** Asks for the drafts again, where making them failed. */
  async judge(): Promise<void> {
    this.trouble = "";
    try { await ask(this.door("judge"), { method: "POST", body: "{}", headers: { "content-type": "application/json" } }); } catch (err) { this.fault(err); }
    this.changed();
  }

  private fault(err: unknown): void {
    if (err instanceof Refused) this.trouble = err.message;
    else this.online = false;
  }

  // What is seen

  get drafts(): Finding[] { return this.rec?.findings ?? []; }
  get current(): Finding | undefined { return this.drafts.find((f) => f.id === this.draft); }
  get started(): string | null { return this.rec?.visit.started ?? null; }
  offset(source: string): number { return this.walks.find((w) => w.source === source)?.offset_s ?? 0; }
  /** The device behind a walk: a journal, or a recording that is named after it. */
  readonly deviceOf = (source: string): string => /(?:^|\/)([a-z0-9]{8,32})(?:-\d+)?\.\w+$/.exec(source)?.[1] ?? source;
  matters(kinds: string[]): Matter[] { return (this.rec?.owed.matters ?? []).filter((m) => kinds.includes(m.kind) && !m.answer); }
  get gaps(): Matter[] { return this.matters(GAPS).filter((m) => m.blocks || this.alsoAsked); }
  alsoAsked = false;
  get blocking(): number { return (this.rec?.owed.matters ?? []).filter((m) => m.blocks && !m.answer).length; }
  blocks(subject: string): boolean { return (this.rec?.owed.matters ?? []).some((m) => m.blocks && m.subject === subject); }
  get others(): Matter[] { return (this.rec?.owed.matters ?? []).filter((m) => m.blocks && !m.answer && !APART.includes(m.kind)); }
  get openLoops() { return (this.rec?.owed.loops ?? []).filter((l) => l.state === "open" || (l.state === "asked" && this.matters(["asked_loop"]).some((m) => m.subject === l.id))); }
  get looseEnds() {
    const asked = new Set(this.matters(["loose"]).map((m) => m.subject));
    return (this.rec?.remarks ?? []).filter((r) => loose(r) || asked.has(r.id)).sort((a, b) => this.offset(a.source) + a.start - this.offset(b.source) - b.start);
  }
  get doubtful() {
    const photos = this.rec?.photos ?? [];
    return { drafts: this.drafts.filter((f) => f.state === "pencil" && f.doubt), photos: photos.filter((p) => p.doubts.length && !p.decided).sort((a, b) => sure(a) - sure(b)), hides: photos.filter((p) => p.blur_suggested?.length), plates: photos.filter((p) => p.plate.some((f) => asked(p, f))) };
  }
  count(panel: Panel): number {
    const { drafts, photos, hides, plates } = this.doubtful;
    switch (panel) {
      case "drafts": return this.drafts.filter((f) => f.state === "pencil").length;
      case "loose": return this.looseEnds.length;
      case "doubts": return drafts.length + photos.length + hides.length + plates.length;
      case "gaps": return this.matters(GAPS).filter((m) => m.blocks).length;
      case "loops": return this.openLoops.length;
      case "others": return this.others.length;
      default: return 0;
    }
  }

  /** Decisions of all journals, newest first, and whether each was taken back. */
  get history(): { event: Event; off: boolean }[] {
    const sorted = [...this.events, ...this.lines].sort((a, b) => (a.hlc < b.hlc ? 1 : a.hlc > b.hlc ? -1 : a.device < b.device ? 1 : a.device > b.device ? -1 : b.seq - a.seq)), off = new Set<string>();
    for (const e of sorted) if (e.kind === "undo" && !off.has(e.id)) off.add(String(e.event));
    return sorted.filter((e) => ["decision", "tick", "mark"].includes(e.kind)).map((event) => ({ event, off: off.has(event.id) }));
  }

  // What is done

  say(says: string): void { this.said = says; this.changed(); }
  select(draft: string, play = false): void {
    [this.draft, this.form, this.about, this.inList] = [draft, "", "", false];
    this.lastNumber = this.current?.number ?? 0;
    this.cue(play);
    this.changed();
  }
  /** The cursor of the walk goes to the first remark of the draft. */
  private cue(play = false): void {
    const first = this.current?.evidence.map((e) => this.rec?.remarks.find((r) => r.id === e.remark)).find(Boolean);
    if (first) this.player.seek(this, first.source, first.start, play);
  }
  show(panel: Panel): void {
    [this.panel, this.form, this.about, this.item, this.itemAt, this.inList] = [panel, "", "", "", 0, panel !== "report"];
    if (panel === "loose") void this.fetchCatalogue();  // so that what is typed after F finds it there
    this.changed();
  }
  unfold(form: Form, about: string): void { [this.form, this.about] = [form, about]; this.changed(); }
  close(): void { [this.form, this.about] = ["", ""]; this.changed(); }

  /** Whether the text of a subject is about to change: something about it is being written down, or not yet in the record. */
  waits(subject: string): boolean { return subject !== "" && (this.writing.has(subject) || this.waiting.has(subject)); }
  get busy(): boolean { return this.writing.size + this.waiting.size > 0; }
  private write(about: string[], by: 1 | -1): void {
    for (const one of ["", ...about]) { const n = (this.writing.get(one) ?? 0) + by; if (n) this.writing.set(one, n); else this.writing.delete(one); }
  }

  /** Keeps an event here, then on the server; what it is about stays greyed until its new text comes. */
  async add(kind: string, fields: Fields, says: string, also: string[] = []): Promise<boolean> {
    const journal = this.journal, open = this.form + this.about;
    if (!journal) return false;
    const about = [...new Set([fields.subject, ...also].filter((one): one is string => typeof one === "string" && one !== ""))];
    this.write(about, 1);
    this.changed();
    try {
      if (journal.empty) await journal.add("begin", { name: "desk", app: __VERSION__ });
      const { event } = await journal.add(kind, fields);
      this.known(event);
      this.unsent += 1;
      for (const one of about) this.waiting.set(one, event.id);
      this.trouble = "";
      if (this.form + this.about === open) [this.form, this.about] = ["", ""];  // not one that was opened while it was being kept
      this.said = `${says}. Kept here.`;
      void this.send(says);
      return true;
    } catch (err) {
      this.trouble = `Not kept: ${err instanceof Error ? err.message : String(err)}. Free some space on this disk, then try again.`;
      return false;
    } finally {
      this.write(about, -1);
      this.changed();
    }
  }

  decide(subject: string, verb: string, fields: Fields, says: string, also: string[] = []): Promise<boolean> {
    return this.add("decision", { subject, verb, ...fields }, says, also);
  }

  /** What is hidden in a picture, and what is asked: as it was decided last, whether the record knows of it or not. */
  hidden(p: Photo): Hidden { return this.hiding.get(p.id) ?? { boxes: p.blur, open: p.blur_suggested ?? [] }; }
  async hide(p: Photo, boxes: Box[], open: Box[], says: string): Promise<boolean> {
    this.hiding.set(p.id, { boxes, open });
    const kept = await this.decide(p.id, "blur", { boxes, ...(open.length ? { open } : {}) }, says);
    if (!kept) this.hidAnew(p.id);
    return kept;
  }
  /** After the newest was taken back, or not kept: what was decided before it. */
  private hidAnew(photo: string): void {
    const left = this.waits(photo) && this.history.find(({ event: e, off }) => !off && e.subject === photo && e.verb === "blur" && Array.isArray(e.boxes))?.event;
    if (left) this.hiding.set(photo, { boxes: left.boxes as unknown as Box[], open: (left.open ?? []) as unknown as Box[] }); else this.hiding.delete(photo);
    this.changed();
  }

  /** Takes back a decision: the newest of this desk that still counts, or the one that is named. */
  async undo(event?: Event): Promise<void> {
    const one = event ?? this.history.find((h) => !h.off && h.event.device === this.journal?.device)?.event;
    if (!one) { this.say("Nothing was decided at this desk that could be taken back."); return; }
    await this.turn(one, one, "Taken back");
  }

  /** Counts again what was taken back: the undo is itself undone. */
  async redo(event: Event): Promise<void> {
    const undo = [...this.events].reverse().find((e) => e.kind === "undo" && e.event === event.id);
    if (undo) await this.turn(undo, event, "It counts again");
  }
  private async turn(one: Event, of: Event, says: string): Promise<void> {
    const about = String(of.subject ?? of.photo ?? "");
    if ((await this.add("undo", { event: one.id }, says, [about])) && this.hiding.has(about)) this.hidAnew(about);
  }

  /** Sends what waits. The last thing said to be kept here is then said to be on the server, or not. */
  private async send(says = ""): Promise<void> {
    this.telling = says || this.telling;
    if (this.sending || !this.visit) return;
    this.sending = true;
    do {
      try {
        await give(this.visit);
        this.online = true;
      } catch (err) { this.fault(err); }
      this.unsent = (await db.events(this.visit)).filter((k) => !k.there).length;
    } while (this.unsent && this.online && !this.trouble);
    this.sending = false;
    if (this.telling && !this.trouble) {
      this.said = this.unsent ? `${this.telling}. Kept here; the server has not got it yet.` : `${this.telling}. On the server.`;
      if (!this.unsent) this.telling = "";
    }
    this.changed();
  }
  private telling = "";
  get where(): string {
    return this.writing.size ? "Being kept here" : this.unsent ? `${this.unsent} kept here, not yet on the server` : this.online ? "All on the server" : "The server cannot be reached; what you decide is kept here";
  }
}

/** A value of a plate that is doubtful, and that nobody has read off himself. */
export function asked(p: Photo, f: PlateField): boolean {
  return !f.used && !!f.quantity && typeof f.value === "number" && !(desk.rec?.readings ?? []).some((q) => q.quantity === f.quantity && q.photo !== p.id && (!q.component || q.component === f.of));
}

const id = (hash: string) => decodeURIComponent(hash.replace(/^#/, ""));
export const desk = new Desk();
export type { Desk };

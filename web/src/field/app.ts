// State of the field screen and what its keys do. Every press is kept before it is shown.

import * as db from "../lib/db";
import { Checks } from "../lib/checks";
import { fold, openLoops } from "../lib/fold";
import type { Folded, Loop } from "../lib/fold";
import { Journal, drawn, sha256, stamp } from "../lib/journal";
import { Recorder } from "../lib/recorder";
import * as sync from "../lib/sync";
import type { Fields, Gate, Kept, Kit, Place, Quick, Todo, Visit } from "../lib/types";

export type Screen =
  | { at: "visits" } | { at: "walk" } | { at: "place"; level?: string } | { at: "reading"; of?: Quick } | { at: "unseen"; of?: string }
  | { at: "seen"; house?: boolean } | { at: "loops" } | { at: "changed" } | { at: "more" } | { at: "gate"; gate: Gate; to?: Place } | { at: "gates" }
  | { at: "gaps" } | { at: "holds" } | { at: "safe" } | { at: "settings" } | { at: "type" } | { at: "end" }
  | { at: "picture"; loop: Loop; role: "as_found" | "as_left" };

export interface Settings { light: "bright" | "dark"; hand: "right" | "left"; text: number }

const AGAIN_MS = 4000, SHOWN_MS = 9000;
export const SECOND = "second exterior";

class App {
  screen: Screen = { at: "visits" };
  visits: Visit[] = [];
  elsewhere: { id: string; name: string; started: string }[] = [];
  visit?: Visit;
  journal?: Journal;
  recorder?: Recorder;
  kit?: Kit;
  kept: Kept[] = [];
  folded: Folded = fold([], "");
  media: { sha: string; there: boolean }[] = [];
  settings: Settings = { light: "bright", hand: "right", text: 1 };
  checks?: Checks;
  online = false;
  /** The server was asked once; before that nothing is said about the signal. */
  looked = false;
  talking: "" | "asked" | "on" = "";
  said = "";
  trouble = "";
  /** The event that "Undo" takes back, as long as it is offered. */
  undoable = "";
  changed: () => void = () => {};
  private timer?: ReturnType<typeof setTimeout>;
  private syncing = false;

  async begin(): Promise<void> {
    this.settings = { ...this.settings, ...(await db.setting<Settings>("settings")) };
    this.visits = await db.visits();
    this.kit = await db.setting<Kit>("kit");
    const last = await db.setting<string>("visit");
    const held = last && this.visits.find((v) => v.id === last);
    if (held) await this.open(held);
    this.changed();
    void navigator.storage?.persist?.();
    addEventListener("online", () => void this.sync());
    addEventListener("offline", () => { this.online = false; this.changed(); });
    addEventListener("hashchange", () => { if (!location.hash && this.screen.at !== "walk" && this.visit) { this.screen = { at: "walk" }; this.changed(); } });
    await this.look();
    setTimeout(() => { this.checks = new Checks(() => this.changed()); }, 300);
    void this.sync();
    setInterval(() => void this.sync(), AGAIN_MS);
  }

  /** What the server has, if it is there. The list is shown at once; the kit takes longer, and may wait. */
  async look(): Promise<void> {
    try {
      this.elsewhere = await sync.serverVisits();
      this.online = true;
    } catch { this.online = false; }
    this.looked = true;
    this.changed();
    if (!this.online) return;
    this.kit = await sync.fetchKit().catch(() => this.kit);
    this.changed();
  }

  /** Shows a screen; `from` is the one that asked, if something was kept meanwhile: whoever went on is not called back. */
  go(screen: Screen, from?: Screen): void {
    if (from && from !== this.screen) return;
    this.screen = screen;
    if (screen.at === "walk" || screen.at === "visits") { if (location.hash) history.replaceState(null, "", location.pathname + location.search); }
    else if (!location.hash) history.pushState(null, "", "#in");
    this.changed();
    requestAnimationFrame(() => { scrollTo(0, 0); document.querySelector<HTMLElement>("h1")?.focus(); });
  }

  async make(name: string): Promise<void> {
    const visit: Visit = { id: drawn(), name, device: "", started: stamp(), cursor: 0, there: false };
    await this.open(visit);
    this.go({ at: "walk" });
  }

  async takeUp(one: { id: string; name: string; started: string }): Promise<void> {
    const held = await db.visitOf(one.id);
    const visit: Visit = held ?? { id: one.id, name: one.name, device: "", started: one.started, cursor: 0, there: true };
    await this.open(visit);
    this.go({ at: "walk" });
    if (!visit.house) void sync.fetchHouse(visit).then(() => this.changed(), () => undefined);
  }

  private async open(visit: Visit): Promise<void> {
    this.journal = await Journal.open(visit.id, visit.device);
    visit.device = this.journal.device;
    this.visit = visit;
    await db.keepVisit(visit);
    await db.keepSetting("visit", visit.id);
    this.visits = await db.visits();
    await this.reload();
    const takes = this.kept.filter((k) => k.device === visit.device && k.event.kind === "audio").map((k) => Number(String(k.event.take).split("-")[1]) || 0);
    this.recorder = new Recorder(this.journal, Math.max(0, ...takes), (says) => this.tell(says));
    this.journal.onKept = (kept) => { this.kept.push(kept); this.folded = fold(this.kept, this.journal!.device); this.changed(); };
    if (this.journal.empty) await this.add("begin", { name: deviceName(), app: __VERSION__ });
    this.screen = { at: "walk" };
  }

  private async reload(): Promise<void> {
    if (!this.visit || !this.journal) return;
    this.kept = await db.events(this.visit.id);
    this.media = await db.mediaState(this.visit.id);
    this.folded = fold(this.kept, this.journal.device);
  }

  /** Keeps an event; says so where the phone refuses. */
  async add(kind: string, fields: Fields, undo = false): Promise<Kept | undefined> {
    try {
      const kept = await this.journal!.add(kind, fields);
      this.trouble = "";
      this.undoable = undo ? kept.event.id : "";
      if (undo) {
        clearTimeout(this.timer);
        this.timer = setTimeout(() => { this.undoable = ""; this.changed(); }, SHOWN_MS);
        buzz(30);
      }
      this.changed();
      return kept;
    } catch (err) {
      this.tell(`Not kept: ${err instanceof Error ? err.message : String(err)}. Free some space on the phone, then try again.`);
      return undefined;
    }
  }

  async undo(): Promise<void> {
    const event = this.undoable;
    if (event && (await this.add("undo", { event }))) this.say("Taken back. It stays in the history.");
  }

  say(says: string): void { this.said = says; this.changed(); }
  tell(says: string): void { this.trouble = says; buzz([60, 60, 60]); this.changed(); }

  async set(change: Partial<Settings>): Promise<void> {
    this.settings = { ...this.settings, ...change };
    await db.keepSetting("settings", this.settings);
    this.changed();
  }

  // What the keys do

  get place(): Place | undefined { return this.visit?.house?.places.find((p) => p.place === this.folded.place); }
  get second(): boolean { const p = this.folded.passes.filter((x) => x.name === SECOND).at(-1); return p?.state === "begun"; }
  here(fields: Fields): Fields { return this.folded.place ? { place: this.folded.place, ...fields } : fields; }

  /** Goes to a place; before one that can hurt, its card comes first. */
  async to(place: Place): Promise<void> {
    const gate = this.kit?.gates.find((g) => g.levels.includes(place.level) && g.gate !== "ladder" && g.gate !== "panel" && g.levels.length === 1);
    if (gate && this.place?.level !== place.level && !this.folded.gates.some((g) => g.gate === gate.gate && g.go === true)) {
      this.go({ at: "gate", gate, to: place });
      return;
    }
    const from = this.screen;
    await this.add("place", { place: place.place });
    this.say(`Here: ${place.place}`);
    this.go({ at: "walk" }, from);
  }

  async pass(gate: Gate, go: boolean, answers: Fields, why: string, to?: Place): Promise<void> {
    const from = this.screen;
    await this.add("gate", { gate: gate.gate, go, answers, ...(why ? { why } : {}) }, !go);
    this.say(go ? `Kept: what you checked before ${gate.name}. Out in ${gate.minutes} minutes.` : `Kept: not going in, ${gate.name}.`);
    if (go && to) await this.add("place", { place: to.place });
    this.go({ at: "walk" }, from);
  }

  async photo(file: File, more: Fields = {}): Promise<Kept | undefined> {
    if (!this.journal) return undefined;
    const bytes = await file.arrayBuffer(), type = file.type || "image/jpeg";
    try {
      const sha = await sha256(bytes);
      await db.keepMedia({ sha, visit: this.journal.visit, type, bytes, there: false });
      if (!this.media.some((m) => m.sha === sha)) this.media.push({ sha, there: false });
      const kept = await this.add("photo", this.here({ media: sha, bytes: bytes.byteLength, type, name: file.name, ...more }), true);
      if (kept) this.say("Picture kept on this phone");
      return kept;
    } catch (err) {
      this.tell(`The picture was not kept: ${err instanceof Error ? err.message : String(err)}. It is in the camera's own album if the camera saved it.`);
      return undefined;
    }
  }

  async talk(): Promise<void> {
    if (this.talking || !this.recorder) return;
    this.talking = "asked";
    this.changed();
    if (await this.recorder.start()) { if (this.talking) { this.talking = "on"; buzz(30); } else await this.recorder.stop(); }
    else this.talking = "";
    this.changed();
  }

  async quiet(): Promise<void> {
    if (!this.talking) return;
    const heard = this.talking === "on";
    this.talking = "";
    this.changed();
    await this.recorder?.stop();
    if (heard && !this.trouble) this.say("Sound kept on this phone. The server will write it down.");
  }

  todo(place = this.place): Todo[] {
    const all = this.visit?.house?.todo ?? [];
    if (!place) return [];
    const here = [place.place, place.key];
    return all.filter((t) => !t.ask && !this.folded.ticks.has(t.subject) && (here.includes(t.place) || (t.level === place.level && (!t.place || t.place === t.level))));
  }

  /** What is asked of the house and of no place in it. */
  ofHouse(): Todo[] { return this.gaps().filter((t) => !t.place && !t.level); }

  gaps(): Todo[] {
    return (this.visit?.house?.todo ?? []).filter((t) => !t.ask && !this.folded.ticks.has(t.subject));
  }

  get rings(): Loop[] { return openLoops(this.folded); }

  async putBack(loop: Loop): Promise<void> {
    const from = this.screen;
    await this.add("close", { loop: loop.id, put_back: true }, true);
    this.say(`Put back: ${loop.thing}`);
    this.go({ at: "picture", loop, role: "as_left" }, from);
  }

  safe(): { phone: number; server: number; bytesPhone: number } {
    const there = this.kept.filter((k) => k.there).length, files = this.media.filter((m) => !m.there).length;
    return { phone: this.kept.length - there, server: there, bytesPhone: files };
  }

  async sync(): Promise<void> {
    if (!this.visit && this.looked && !this.online) { await this.look(); return; }
    if (this.syncing || !this.visit || !this.journal || !navigator.onLine) { if (!navigator.onLine) this.online = false; return; }
    this.syncing = true;
    try {
      await sync.round(this.visit, this.journal);
      if (!this.kit) this.kit = await sync.fetchKit();
      this.online = true;
    } catch (err) {
      this.online = false;
      if (err instanceof sync.Refused && err.status !== 503) this.trouble = `The server did not take it: ${err.message}. It stays on this phone.`;
    }
    this.syncing = false;
    await this.reload();
    this.changed();
  }
}

export function buzz(pattern: number | number[]): void { navigator.vibrate?.(pattern); }
const deviceName = () => (/iPhone|iPad|Android/.exec(navigator.userAgent)?.[0] ?? "browser");
export const app = new App();

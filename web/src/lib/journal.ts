// A journal of one device for one visit: ids and clocks made here, each event chained to the one before (docs/journal.md).

import * as db from "./db";
import type { Event, Fields, Json, Kept } from "./types";

const DAY_MS = 86_400_000, MOST = 64 * 1024;
const SIGNS = "abcdefghijklmnopqrstuvwxyz0123456789";

/** RFC 8785: no blanks, keys sorted by UTF-16 code units at every depth. */
export function canonical(value: Json): string {
  if (Array.isArray(value)) return `[${value.map(canonical).join(",")}]`;
  if (value && typeof value === "object") {
    return `{${Object.keys(value).sort().map((k) => `${JSON.stringify(k)}:${canonical(value[k] as Json)}`).join(",")}}`;
  }
  return JSON.stringify(value);
}

export async function sha256(bytes: BufferSource): Promise<string> {
  const hashed = new Uint8Array(await crypto.subtle.digest("SHA-256", bytes));
  return Array.from(hashed, (b) => b.toString(16).padStart(2, "0")).join("");
}

export const digest = (event: Event): Promise<string> => sha256(new TextEncoder().encode(canonical(event)));

/** An id drawn at random. */
export function drawn(length = 12): string {
  return Array.from(crypto.getRandomValues(new Uint8Array(length)), (b) => SIGNS[b % SIGNS.length]).join("");
}

/** The next hybrid clock after `last`, at `now` ms. */
export function tick(last: string, now: number): string {
  const [ms, count] = last ? (last.split("-").map(Number) as [number, number]) : [0, 0];
  if (now > ms) return clock(now, 0);
  return count >= 99_999 ? clock(ms + 1, 0) : clock(ms, count + 1);
}
const clock = (ms: number, count: number) => `${String(ms).padStart(15, "0")}-${String(count).padStart(5, "0")}`;

/** The device's own time with its offset: 2026-05-12T09:14:03.250-05:00. */
export function stamp(now = new Date()): string {
  const off = -now.getTimezoneOffset(), two = (n: number) => String(Math.floor(Math.abs(n))).padStart(2, "0");
  const local = new Date(now.getTime() + off * 60_000).toISOString().slice(0, 23);
  return `${local}${off < 0 ? "-" : "+"}${two(off / 60)}:${two(off % 60)}`;
}

/** Half of a surrogate pair is not allowed anywhere. */
const whole = (text: string) => text.replace(/[\uD800-\uDBFF](?![\uDC00-\uDFFF])|(?<![\uD800-\uDBFF])[\uDC00-\uDFFF]/g, "\uFFFD");

export class Journal {
  private seq = 0;
  private prev = "";
  private last = "";
  private queue: Promise<unknown> = Promise.resolve();
  onKept: (kept: Kept) => void = () => {};

  private constructor(readonly visit: string, readonly device: string) {}

  /** Goes on with a journal, if this tab can lock it and holds its last event; else begins a new one. */
  static async open(visit: string, device: string): Promise<Journal> {
    const name = device && (await locked(visit, device)) ? device : drawn();
    if (name !== device) await locked(visit, name);
    const made = new Journal(visit, name);
    const kept = await db.events(visit);
    for (const one of kept) made.heard(one.event);
    const mine = kept.filter((k) => k.device === name).sort((a, b) => a.seq - b.seq).at(-1);
    if (mine) [made.seq, made.prev] = [mine.seq, mine.digest];
    return made;
  }

  get empty(): boolean { return this.seq === 0; }

  /** A clock that came from another holder. One that is a day ahead is not followed. */
  heard(event: Event): void {
    const ms = Number(event.hlc.slice(0, 15));
    if (event.hlc > this.last && (event.device === this.device || ms - Date.now() <= DAY_MS)) this.last = event.hlc;
  }

  /** Writes one event. Resolves when it has been read back; throws where the storage refuses. */
  add(kind: string, fields: Fields, at = new Date()): Promise<Kept> {
    const when = stamp(at);
    const job = this.queue.then(() => this.write(kind, fields, when));
    this.queue = job.catch(() => undefined);
    return job;
  }

  private async write(kind: string, fields: Fields, at: string): Promise<Kept> {
    const seq = this.seq + 1, hlc = tick(this.last, Date.now());
    const event = JSON.parse(
      JSON.stringify({ ...fields, v: 1, device: this.device, seq, id: `${this.device}.${seq}`, prev: this.prev, hlc, at, kind },
        (_, value) => (typeof value === "string" ? whole(value) : value)),
    ) as Event;
    if (new TextEncoder().encode(canonical(event)).length > MOST) throw new Error("the note is too long to keep in one piece");
    const kept: Kept = { visit: this.visit, device: this.device, seq, event, digest: await digest(event), there: false };
    await db.keepEvent(kept);
    [this.seq, this.prev, this.last] = [seq, kept.digest, hlc];
    this.onKept(kept);
    return kept;
  }
}

/** Holds a journal for this tab as long as the tab lives. */
function locked(visit: string, device: string): Promise<boolean> {
  if (!navigator.locks) return Promise.resolve(true);
  return new Promise((answer) => {
    void navigator.locks.request(`kingpost ${visit} ${device}`, { ifAvailable: true }, (lock) => {
      answer(lock !== null);
      return lock ? new Promise(() => undefined) : undefined;
    });
  });
}

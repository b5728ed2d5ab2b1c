// What the events of a visit come to. The full fold is the server's (kingpost.visit.journal); this is what the phone shows.

import type { Event, Kept } from "./types";

export interface Loop { id: string; thing: string; place: string; text: string; at: number; again_s: number | null; photos: { role: string; media: string }[]; closed?: { at: number; put_back: boolean; why: string } }
export interface Folded {
  place: string;
  loops: Loop[];
  ticks: Map<string, { state: string; why: string; id: string }>;
  holds: { id: string; text: string; place: string; at: number }[];
  photos: { id: string; media: string; place: string; at: number; loop: string; role: string }[];
  readings: Event[];
  limits: Event[];
  gates: Event[];
  passes: { name: string; state: string; place: string }[];
  takes: number;
  count: number;
  last?: Event;
}

const text = (value: unknown): string => (typeof value === "string" ? value : "");
const order = (a: Kept, b: Kept) => {
  const x = [a.event.hlc, a.device], y = [b.event.hlc, b.device];
  return x[0]! < y[0]! ? -1 : x[0]! > y[0]! ? 1 : x[1]! < y[1]! ? -1 : x[1]! > y[1]! ? 1 : a.seq - b.seq || (a.digest < b.digest ? -1 : 1);
};

/** Ids of events that an undo in force names. An undo can be undone. */
function undone(sorted: Kept[]): Set<string> {
  const out = new Set<string>();
  for (const { event } of [...sorted].reverse()) {
    if (event.kind === "undo" && !out.has(event.id)) out.add(text(event.event));
  }
  return out;
}

export function fold(all: Kept[], mine: string): Folded {
  const sorted = [...all].sort(order), off = undone(sorted);
  const out: Folded = {
    place: "", loops: [], ticks: new Map(), holds: [], photos: [], readings: [], limits: [], gates: [], passes: [], takes: 0, count: 0,
  };
  const here = new Map<string, string>(), loops = new Map<string, Loop>();
  const closings: Event[] = [];
  for (const { event: e } of sorted) {
    if (off.has(e.id) || e.kind === "undo") continue;
    const place = text(e.place) || here.get(e.device) || "", at = Date.parse(e.at);
    if (!["begin", "clock", "audio"].includes(e.kind)) { out.count += 1; if (e.device === mine) out.last = e; }
    if (e.kind === "place") { here.set(e.device, text(e.place)); if (e.device === mine) out.place = text(e.place); }
    else if (e.kind === "open") loops.set(e.id, { id: e.id, thing: text(e.thing), place, text: text(e.text), at, again_s: typeof e.again_s === "number" ? e.again_s : null, photos: [] });
    else if (e.kind === "close") closings.push(e);
    else if (e.kind === "tick") out.ticks.set(text(e.subject), { state: text(e.state) || "done", why: text(e.why), id: e.id });
    else if (e.kind === "hold") out.holds.push({ id: e.id, text: text(e.text), place, at });
    else if (e.kind === "photo") out.photos.push({ id: e.id, media: text(e.media), place, at, loop: text(e.loop), role: text(e.role) });
    else if (e.kind === "reading") out.readings.push({ ...e, place });
    else if (e.kind === "limit") out.limits.push({ ...e, place });
    else if (e.kind === "gate") out.gates.push(e);
    else if (e.kind === "pass") out.passes.push({ name: text(e.name), state: text(e.state) || "begun", place });
    else if (e.kind === "audio" && e.piece === 0) out.takes += 1;
  }
  for (const e of closings) {
    const loop = loops.get(text(e.loop));
    if (loop) loop.closed = { at: Date.parse(e.at), put_back: e.put_back !== false, why: text(e.why) };
  }
  for (const p of out.photos) if (p.loop) loops.get(p.loop)?.photos.push({ role: p.role, media: p.media });
  out.loops = [...loops.values()];
  return out;
}

export const openLoops = (folded: Folded): Loop[] =>
  folded.loops.filter((l) => !l.closed).sort((a, b) => due(a) - due(b));
/** When a loop is to be looked at again, ms; far away where it has no clock. */
export const due = (loop: Loop): number => (loop.again_s === null ? Number.MAX_SAFE_INTEGER : loop.at + loop.again_s * 1000);

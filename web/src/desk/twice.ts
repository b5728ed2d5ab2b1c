// Two people in one house see the same thing. Drafts of two devices that lie near in part, place and words are proposed
// for merging; nothing is merged by itself.

import type { Finding, Remark } from "./record";

const NEAR = 0.5;
const words = (text: string) => new Set(text.toLowerCase().match(/\p{L}{4,}/gu) ?? []);
const shares = <T>(a: Set<T>, b: Set<T>) => [...a].filter((x) => b.has(x)).length;

interface Side { f: Finding; devices: Set<string>; places: Set<string>; part: Set<string>; said: Set<string> }

/** Pairs of drafts that two devices may have made of the same thing: a part and a place in common, and half of the words. */
export function pairs(drafts: Finding[], remarks: Remark[], deviceOf: (source: string) => string): [Finding, Finding][] {
  const by = new Map(remarks.map((r) => [r.id, r]));
  const all: Side[] = drafts.map((f) => {
    const mine = f.evidence.flatMap((e) => { const r = e.remark && by.get(e.remark); return r ? [r] : []; });
    return {
      f, devices: new Set(mine.map((r) => deviceOf(r.source))), places: new Set([f.place, ...mine.map((r) => r.place)].filter(Boolean)),
      part: words(f.component), said: words(mine.map((r) => r.text).join(" ") || f.title),
    };
  });
  return all.flatMap((a, n) => all.slice(n + 1).filter((b) =>
    a.devices.size > 0 && b.devices.size > 0 && !shares(a.devices, b.devices) && shares(a.places, b.places) > 0 && shares(a.part, b.part) > 0
    && shares(a.said, b.said) >= NEAR * Math.max(1, Math.min(a.said.size, b.said.size))).map((b): [Finding, Finding] => [a.f, b.f]));
}

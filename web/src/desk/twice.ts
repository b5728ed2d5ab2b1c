// Two people in one house see the same thing. Drafts of two devices that lie near in part, place and words are proposed
// for merging; nothing is merged by itself.

import type { Finding, Remark } from "./record";

const NEAR = 0.5;
const words = (text: string) => new Set(text.toLowerCase().match(/\p{L}{4,}/gu) ?? []);

/** Share of the smaller set of words that both hold. */
function alike(a: Set<string>, b: Set<string>): number {
  const both = [...a].filter((w) => b.has(w)).length;
  return both / Math.max(1, Math.min(a.size, b.size));
}

/** Pairs of drafts that two devices may have made of the same thing. */
export function pairs(drafts: Finding[], remarks: Remark[], deviceOf: (source: string) => string): [Finding, Finding][] {
  const source = new Map(remarks.map((r) => [r.id, deviceOf(r.source)]));
  const devices = (f: Finding) => new Set(f.evidence.map((e) => (e.remark ? source.get(e.remark) : undefined)).filter(Boolean));
  const out: [Finding, Finding][] = [];
  drafts.forEach((a, n) => drafts.slice(n + 1).forEach((b) => {
    if (a.component !== b.component || a.place !== b.place) return;
    const [da, db] = [devices(a), devices(b)];
    if (!da.size || !db.size || [...da].some((d) => db.has(d))) return;
    if (alike(words(`${a.title} ${a.narrative.saw}`), words(`${b.title} ${b.narrative.saw}`)) >= NEAR) out.push([a, b]);
  }));
  return out;
}

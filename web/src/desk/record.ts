// The record as the desk reads it (docs/contract.md), the words on the time axis, and how both are put in words.

export type Standing = "deficiency" | "recommendation" | "information";
export interface Evidence { remark?: string; photo?: string; thermal?: string; row?: string; clause?: string; finding?: string; reading?: string }
export interface Finding {
  id: string; title: string; component: string; place: string; standing: Standing; when: string; at_stake: string[]; level: string; number: number;
  narrative: { saw: string; matters: string; do: string; who: string; how_we_know: string };
  readings: string[]; checks: string[]; evidence: Evidence[]; state: "pencil" | "ink"; doubt: string; confidence: number; cautions: string[]; decided: string;
}
export interface Remark { id: string; source: string; start: number; end: number; text: string; place: string; use: string; why_set_aside: string; into: string[]; speaker: string }
export interface Reading { id: string; quantity: string; value: number | string; unit: string; uncertainty: number | null; place: string; component: string; remark: string | null; photo: string | null; row: string | null }
export interface Source { document: string; section: string; edition: string; basis: string }
export interface Check { id: string; title: string; verdict: string; says: string; caution: string; measured: string; sum: string; held_against: string; by_its_date: string; sources: Source[]; missing: string[] }
export interface Mark { shape: string; points: [number, number][]; label: string; length: string }
/** What can be found about a part, by the catalogue of the trade. */
export interface Condition { id: string; title: string; part: string; also: string[] }
/** Left, top, width, height, in shares of the upright picture. */
export type Box = [number, number, number, number];
export interface PlateField { field: string; value: string | number; unit: string; reads: string; sure: number; used: boolean; doubt: string; quantity: string; of: string }
export interface Photo {
  id: string; file: string; seconds: number | null; place: string; findings: string[]; caption: string; width: number; height: number; orientation: number;
  doubts: string[]; marks: Mark[]; plate: PlateField[]; decided: string; blur: Box[]; blur_suggested?: Box[]; probability?: number | null; place_probability?: number | null;
}
export interface Matter { id: string; kind: string; blocks: boolean; says: string; mend: string; place: string; subject: string; evidence: Evidence[]; clause: string; unverified: boolean; answer: string }
export interface Loop { id: string; thing: string; says: string; place: string; state: string; opened_at: number | null; back: string; why: string; evidence: Evidence[] }
export interface Rec {
  visit: { name: string; started: string | null; client: string; address: string };
  remarks: Remark[]; readings: Reading[]; findings: Finding[]; checks: Check[]; photos: Photo[];
  thermal: { id: string; file: string; place: string; says: string }[];
  owed: { loops: Loop[]; matters: Matter[] }; trouble: { file: string; line: number | null; problem: string; mend: string }[];
}
export interface Walk { source: string; started: string | null; offset_s: number; sound: string | null; cues: { start: number; end: number; text: string; words: [string, number, number, number][] }[] }

export const STANDING: Record<string, string> = { deficiency: "Deficiency", recommendation: "Recommended, not required", information: "For your information" };
export const WHEN: Record<string, string> = { before_moving_in: "Before you move in", this_season: "This season", this_year: "This year", keep_an_eye_on: "Keep an eye on it" };
export const STAKE: Record<string, string> = { people: "People", structure: "Structure", water: "Water", equipment: "Equipment", comfort: "Comfort" };
export const VERDICT: Record<string, string> = { meets: "Meets", cannot_tell: "Cannot tell", falls_short: "Falls short", not_applicable: "Does not apply" };
export const BASIS: Record<string, string> = { published: "published", memory: "from memory", common_practice: "common practice" };
export const PARTS = { saw: "What we saw", matters: "Why it matters", do: "What to do", who: "Who does it" } as const;
export const ASIDE = ["not about the house", "said twice", "to myself", "for someone else", "unclear"];
export const LEVELS: Record<string, string> = {
  roof: "Roof", attic: "Attic", upper: "Upstairs", main: "Main floor", lower: "Downstairs", underfloor: "Underfloor", garage: "Garage", grounds: "Outside", house: "Whole house",
};
export const FATE: Record<string, string> = { reading: "reading", information: "information", limitation: "not seen", as_found: "I changed it", safety: "care on site" };

export const loose = (r: Remark) => r.use === "set_aside" && r.why_set_aside.startsWith("unclear:");
/** The chance that a picture is filed right, place and finding. */
export const sure = (p: Photo) => (p.probability ?? 0) * (p.place_probability ?? 0);
export const cap = (text: string) => text.charAt(0).toUpperCase() + text.slice(1);
export const plain = (text: string) => text.replaceAll("_", " ");

const UNITS: Record<string, string> = { degF: "°F", degC: "°C", percent: "%", in_per_12: "in 12", sqft: "sq ft" };
export function measured(q: Reading): string {
  const doubt = q.uncertainty ? ` ± ${Number((2 * q.uncertainty).toPrecision(2))}` : "";
  return `${q.value}${doubt}${q.unit ? `\u00a0${UNITS[q.unit] ?? plain(q.unit)}` : ""}`;
}

const stems = (text: string) => new Set((text.toLowerCase().match(/\p{L}{4,}/gu) ?? []).map((w) => w.slice(0, 5)));
/** The catalogue with what shares most words with a remark first; the part counts twice. */
export function nearest(all: Condition[], said: string): Condition[] {
  const words = stems(said), share = (text: string) => [...stems(text)].filter((w) => words.has(w)).length;
  const near = new Map(all.map((c) => [c, 2 * Math.max(share(c.part), ...c.also.map(share)) + share(c.title)]));
  return [...all].sort((a, b) => near.get(b)! - near.get(a)! || a.part.localeCompare(b.part) || a.title.localeCompare(b.title));
}

/** The house's own hour at a second of the visit's clock. */
export function hour(started: string | null, seconds: number): string {
  const at = /T(\d\d):(\d\d):(\d\d)/.exec(started ?? ""), zero = at ? Number(at[1]) * 3600 + Number(at[2]) * 60 + Number(at[3]) : 0;
  const s = Math.max(0, Math.floor(zero + seconds)), two = (n: number) => String(Math.floor(n)).padStart(2, "0");
  return `${two((s / 3600) % 24)}:${two((s / 60) % 60)}:${two(s % 60)}`;
}

const bare = (word: string) => word.toLowerCase().replace(/[^\p{L}\p{N}]/gu, "");
/** Each remark's words with the second at which each was said, in its own walk. A word without a time of its own gets one by its turn. */
export function timed(remarks: Remark[], walks: Walk[]): Map<string, [string, number][]> {
  const out = new Map<string, [string, number][]>();
  for (const walk of walks) {
    const said: [string, number][] = [];
    for (const cue of walk.cues) {
      const words = cue.text.split(/\s+/).filter(Boolean), known = cue.words.length === words.length;
      words.forEach((w, i) => said.push([bare(w), known ? cue.words[i]![1] : cue.start + ((cue.end - cue.start) * i) / words.length]));
    }
    let at = 0;
    for (const r of remarks.filter((x) => x.source === walk.source).sort((a, b) => a.start - b.start)) {
      const words = r.text.split(/\s+/).filter(Boolean);
      out.set(r.id, words.map((w, i) => {
        const hit = said.slice(at, at + 4).findIndex(([s]) => s === bare(w));
        if (hit < 0) return [w, r.start + ((r.end - r.start) * i) / words.length] as [string, number];
        at += hit + 1;
        return [w, said[at - 1]![1]] as [string, number];
      }));
    }
  }
  return out;
}

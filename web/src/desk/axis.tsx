// The whole visit on one line: where he was, the sound, pictures, loose ends, and where the cursor stands.

import { desk } from "./desk";
import { hour, LEVELS, loose } from "./record";

const LEFT = 16, TOP = 26, MID = 50, HALF = 19;
let W = 1440;

export function levelOf(place: string): string {
  const bare = place.replace(/^interior, /, "");
  const f = desk.drafts.find((x) => x.place === place) ?? undefined;
  const known = desk.house?.places.find((p) => p.place === place || p.place === bare || p.key === bare)?.level;
  if (known) return known;
  if (f) return f.level;
  const first = [["roof", "roof"], ["attic", "attic"], ["knee", "attic"], ["crawl", "underfloor"], ["basement", "lower"], ["garage", "garage"], ["exterior", "grounds"], ["deck", "grounds"]].find(([w]) => place.includes(w!));
  return first?.[1] ?? "";
}

interface Band { level: string; from: number; to: number }
function bands(): Band[] {
  const out: Band[] = [];
  const all = (desk.rec?.remarks ?? []).map((r) => ({ level: levelOf(r.place), from: desk.offset(r.source) + r.start, to: desk.offset(r.source) + r.end })).sort((a, b) => a.from - b.from);
  for (const one of all) {
    const last = out.at(-1);
    if (last && (last.level === one.level || !one.level)) last.to = one.to;
    else if (last && last.to - last.from < 25 && out.length > 1) { out.pop(); out.push({ ...one, from: last.from }); }
    else if (last) { last.to = one.from; out.push(one); } else if (one.level) out.push(one);
  }
  for (let n = 1; n < out.length; n++) if (out[n]!.level === out[n - 1]!.level) { out[n - 1]!.to = out[n]!.to; out.splice(n--, 1); }
  return out;
}

export function span(): [number, number] {
  const ends = [...(desk.rec?.remarks ?? []).map((r) => desk.offset(r.source) + r.end), ...(desk.rec?.photos ?? []).map((p) => p.seconds ?? 0)];
  const from = Math.min(0, ...ends), to = ends.reduce((a, b) => Math.max(a, b), 60);
  return [from, to * 1.005];
}

/** Heights of the sound for each step of the line, 0 to 1; where no sound was kept, where words stand. */
function heights(steps: number, from: number, to: number): { all: number[]; sound: boolean } {
  const all = new Array<number>(steps).fill(0), step = (to - from) / steps;
  let sound = false;
  for (const w of desk.walks) {
    const peaks = w.sound ? desk.peaks.get(w.sound) : undefined;
    if (peaks) {
      sound = true;
      peaks.forEach((p, i) => { const n = Math.floor((w.offset_s + i / 8 - from) / step); if (n >= 0 && n < steps && p > all[n]!) all[n] = p; });
    } else for (const c of w.cues) {
      const a = Math.floor((w.offset_s + c.start - from) / step), b = Math.floor((w.offset_s + c.end - from) / step);
      for (let n = Math.max(0, a); n <= Math.min(steps - 1, b); n++) all[n] = Math.max(all[n]!, 0.55);
    }
  }
  return { all, sound };
}

let made: { key: string; path: string; sound: boolean } | undefined;
function wave(from: number, to: number): { path: string; sound: boolean } {
  const key = `${W} ${desk.visit} ${to} ${[...desk.peaks.keys()].join()} ${desk.walks.length}`;
  if (made?.key !== key) {
    const steps = Math.max(60, Math.floor(W / 3)), { all, sound } = heights(steps, from, to), top = Math.max(0.05, ...all);
    const x = (n: number) => LEFT + ((W - 2 * LEFT) * (n + 0.5)) / steps;
    made = { key, sound, path: all.map((h, n) => { const a = Math.max(h ? 1.2 : 0.5, (h / top) * HALF); return `M${x(n).toFixed(1)},${(MID - a).toFixed(1)}v${(2 * a).toFixed(1)}`; }).join("") };
  }
  return made;
}

export function Axis() {
  const rec = desk.rec;
  if (!rec) return null;
  W = Math.max(320, document.documentElement.clientWidth);
  const [from, to] = span(), X = (s: number) => LEFT + ((s - from) / (to - from)) * (W - 2 * LEFT);
  const { path, sound } = wave(from, to), all = bands(), now = desk.player.now(desk);
  const tick = to > 7200 ? 900 : to > 1800 ? 300 : 60, level = levelOf(desk.current?.place ?? "");
  const ends = desk.looseEnds, hours: number[] = [];
  for (let s = Math.ceil(from / tick) * tick; s < to; s += tick) hours.push(s);
  const go = (e: MouseEvent) => {
    const box = (e.currentTarget as SVGElement).getBoundingClientRect(), s = from + (((e.clientX - box.left) / box.width) * W - LEFT) / (W - 2 * LEFT) * (to - from);
    const near = rec.remarks.reduce((a, b) => (Math.abs(desk.offset(b.source) + b.start - s) < Math.abs(desk.offset(a.source) + a.start - s) ? b : a), rec.remarks[0]!);
    if (near) desk.player.seek(desk, near.source, Math.max(near.start, Math.min(near.end, s - desk.offset(near.source))), desk.player.playing);
  };
  const says = `The whole visit, ${hour(desk.started, from)} to ${hour(desk.started, to)}: ${sound ? "the sound" : "where there are words; no sound was kept"}, ${rec.photos.length} pictures, ${ends.length} loose ends.`;
  return (
    <svg class="axis" viewBox={`0 0 ${W} 92`} role="img" aria-label={says} onClick={go}>
      {all.map((b) => (
        <g key={b.from}><rect class={`band ${b.level === level ? "on" : ""}`} x={X(b.from) + 0.5} y="4" width={Math.max(1, X(b.to) - X(b.from) - 1)} height="19" />
          {X(b.to) - X(b.from) > 60 && <text class={`bandname ${b.level === level ? "on" : ""}`} x={X(b.from) + 6} y="18">{LEVELS[b.level] ?? ""}</text>}</g>
      ))}
      <path class="wave" d={path} />
      <path class="shots" d={rec.photos.filter((p) => p.seconds !== null).map((p) => `M${X(p.seconds!).toFixed(1)},72v6`).join("")} />
      {hours.map((s) => <text key={s} class="hour" x={Math.max(X(s), 21)} y="90" text-anchor="middle">{hour(desk.started, s).slice(0, 5)}</text>)}
      {ends.filter(loose).map((r) => <g key={r.id} transform={`translate(${X(desk.offset(r.source) + r.start).toFixed(1)},${MID})`}><circle class="under" r="8.5" /><path class="end" d="M2.6,-4.800A5.500,5.500 0 1 0 5.300,-1.400" /></g>)}
      {desk.player.source && <path class="now" d={`M${X(now).toFixed(1)},${TOP}V80`} />}
    </svg>
  );
}

// The walk: time runs down; sound, words, pictures, and what became of each remark. A word plays from itself.

import { Component } from "preact";
import { useEffect, useRef } from "preact/hooks";
import { desk } from "./desk";
import { FATE, cap, hour, loose } from "./record";
import type { Finding, Photo, Remark } from "./record";
import { Glyph, Numbered, file } from "./parts";

const PER_S = 8;

interface Row { r: Remark; photos: Photo[]; into: Finding[]; words: [string, number][]; here: boolean; mine: boolean; peaks: number[] | undefined; waits: boolean; visit: string }

function Wave({ row, h }: { row: Row; h: number }) {
  const { r, peaks } = row, n = Math.max(3, Math.min(18, Math.round(h / 3)));
  const bars = Array.from({ length: n }, (_, i) => {
    if (!peaks) return 0.25 + 0.5 * Math.abs(Math.sin((i + 1) * (r.text.length % 7 + 1)));
    const a = Math.floor((r.start + ((r.end - r.start) * i) / n) * PER_S), b = Math.max(a + 1, Math.floor((r.start + ((r.end - r.start) * (i + 1)) / n) * PER_S));
    return Math.min(1, 1.6 * Math.max(0.02, ...peaks.slice(a, b)));
  });
  return <svg class="wv" viewBox={`0 0 40 ${n * 3}`} preserveAspectRatio="none" aria-hidden="true">{peaks ? <path d={bars.map((b, i) => `M${20 - b * 18},${i * 3 + 1.5}h${b * 36}`).join("")} /> : <path d={`M20,0v${n * 3}`} />}</svg>;
}

class Line extends Component<Row> {
  override shouldComponentUpdate(next: Row): boolean {
    const was = this.props;
    return (Object.keys(next) as (keyof Row)[]).some((k) => k !== "photos" && k !== "into" && next[k] !== was[k]) || next.photos.length !== was.photos.length || next.into.map((f) => f.id + f.number + f.standing).join() !== was.into.map((f) => f.id + f.number + f.standing).join();
  }
  override render(row: Row) {
    const { r, into } = row, at = hour(desk.started, desk.offset(r.source) + r.start), isLoose = loose(r), aside = r.use === "set_aside" && !isLoose;
    return (
      <li id={`w-${r.id}`} class={`${isLoose ? "loose" : ""} ${aside ? "aside" : ""} ${row.mine ? "mine" : ""} ${row.here ? "here" : ""} ${row.waits ? "waits" : ""}`}>
        <button class="time" data-play={r.start} tabIndex={row.here ? 0 : -1} aria-label={`${at}: ${r.text}. Play from here`}>{at}</button>
        <Wave row={row} h={r.text.length > 46 ? 56 : 40} />
        <div class="tx">
          <p>{row.words.map(([w, t], i) => <span key={i} data-play={t}>{w} </span>)}</p>
          {row.photos.length > 0 && <p class="pics">{row.photos.slice(0, 4).map((p) => <button key={p.id} class="pic" tabIndex={row.here ? 0 : -1} onClick={() => { desk.picture = p.id; desk.changed(); }}><img loading="lazy" src={file(p.file, 320)} alt={p.caption} /></button>)}</p>}
        </div>
        <span class="dst">
          {isLoose ? <><Glyph of="open" /><b>Loose</b></> : aside ? <><span>Set aside</span><small>{r.why_set_aside}</small></>
            : into.length ? into.slice(0, 3).map((f) => <button key={f.id} class="to" tabIndex={row.here ? 0 : -1} aria-label={`Draft ${f.number}: ${f.title}`} onClick={() => desk.select(f.id)}><Numbered n={f.number} standing={f.standing} /></button>)
              : <small>{FATE[r.use] ?? ""}</small>}
        </span>
      </li>
    );
  }
}

export function Tape() {
  const at = useRef<HTMLOListElement>(null), rec = desk.rec, player = desk.player;
  const remarks = [...(rec?.remarks ?? [])].sort((a, b) => desk.offset(a.source) + a.start - desk.offset(b.source) - b.start);
  const here = remarks.filter((r) => r.source === player.source && r.start <= player.at + 0.05).at(-1) ?? remarks[0];
  useEffect(() => {
    const row = here && document.getElementById(`w-${here.id}`), box = at.current;
    if (row && box) {
      const top = row.offsetTop - box.offsetTop;
      if (top < box.scrollTop + 20 || top + row.offsetHeight > box.scrollTop + box.clientHeight - 60) box.scrollTop = top - box.clientHeight / 3;
    }
  }, [here?.id, desk.draft, rec]);
  useEffect(() => {
    const row = here && document.getElementById(`w-${here.id}`);
    at.current?.querySelectorAll(".word").forEach((w) => w.classList.remove("word"));
    const words = [...(row?.querySelectorAll<HTMLElement>("[data-play]") ?? [])].slice(1);
    if (player.playing || player.at > (here?.start ?? 0) + 0.1) words.filter((w) => Number(w.dataset.play) <= player.at + 0.05).at(-1)?.classList.add("word");
  });
  if (!rec) return null;
  const photos = new Map<string, Photo[]>();
  for (const p of rec.photos) {
    if (p.seconds === null) continue;
    const near = remarks.filter((r) => desk.offset(r.source) + r.start <= p.seconds! + 2).at(-1) ?? remarks[0];
    if (near) photos.set(near.id, [...(photos.get(near.id) ?? []), p]);
  }
  const mine = new Set(desk.current?.evidence.map((e) => e.remark));
  const play = (e: MouseEvent) => {
    const word = (e.target as HTMLElement).closest<HTMLElement>("[data-play]"), r = word && remarks.find((x) => `w-${x.id}` === word.closest("li")!.id);
    if (r) player.seek(desk, r.source, Number(word.dataset.play), true);
  };
  const keys = (e: KeyboardEvent) => {
    const n = here ? remarks.indexOf(here) : 0, to = e.key === "ArrowDown" ? remarks[n + 1] : e.key === "ArrowUp" ? remarks[n - 1] : undefined;
    if (to) { e.preventDefault(); player.seek(desk, to.source, to.start, false); requestAnimationFrame(() => document.querySelector<HTMLElement>(`#w-${to.id} .time`)?.focus()); }
    if (here && (e.key === "ArrowRight" || e.key === "ArrowLeft")) {
      const words = desk.words.get(here.id) ?? [], k = words.filter(([, t]) => t <= player.at + 0.01).length - 1, next = words[Math.max(0, k + (e.key === "ArrowRight" ? 1 : -1))];
      if (next) { e.preventDefault(); player.seek(desk, here.source, next[1], false); desk.say(next[0]); }
    }
  };
  return (
    <section class="tape" aria-labelledby="h-tape">
      <header><h2 id="h-tape">The walk</h2><span>{here?.place ? cap(here.place) : ""}</span></header>
      <ol ref={at} onClick={play} onKeyDown={keys} aria-label="Remarks. Arrows up and down move, right and left go word by word, Enter plays">
        {remarks.map((r) => (
          <Line key={r.id} r={r} photos={photos.get(r.id) ?? []} into={desk.drafts.filter((f) => r.into.includes(f.id))} words={desk.words.get(r.id) ?? []} here={r === here} mine={mine.has(r.id)}
            peaks={desk.peaks.get(desk.walks.find((w) => w.source === r.source)?.sound ?? "")} waits={desk.waits(r.id)} visit={desk.visit} />
        ))}
      </ol>
    </section>
  );
}

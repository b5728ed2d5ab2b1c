// The right side: the house's own drawing with a mark for each draft, then the report as it will be, or the list that is open.

import { useEffect, useRef, useState } from "preact/hooks";
import { desk } from "./desk";
import { useFacts } from "./facts";
import { List, NAMES } from "./lists";
import { Kbd } from "./parts";
import { LEVELS, cap } from "./record";
import type { Finding } from "./record";

const SETTLES_MS = 4000; // a report takes seconds to write, and a decision should not wait for it

function spot(f: Finding): [number, number] | undefined {
  const bare = f.place.replace(/^interior, /, ""), all = desk.house?.places ?? [];
  const one = all.find((p) => p.place === f.place || p.place === bare || p.key === bare) ?? all.find((p) => f.place.includes(p.place) && p.level === f.level) ?? all.find((p) => p.level === f.level && p.at) ?? undefined;
  return one?.at;
}

function useDark(): boolean {
  const [dark, set] = useState(matchMedia("(prefers-color-scheme: dark)").matches);
  useEffect(() => { const m = matchMedia("(prefers-color-scheme: dark)"), on = () => set(m.matches); m.addEventListener("change", on); return () => m.removeEventListener("change", on); }, []);
  return dark;
}

/** The section drawing as the map: a ring while a draft is pencil, a full mark in ink. The same drafts stand in the list. */
function Map() {
  const dark = useDark(), house = desk.house;
  if (!house) return null;
  const R = 7, W = 1000, H = W / house.ratio, taken = new globalThis.Map<string, number>();
  const marks = [...desk.drafts].sort((a, b) => Number(a.id === desk.draft) - Number(b.id === desk.draft)).flatMap((f) => {
    const at = spot(f);
    if (!at) return [];
    const n = taken.get(at.join()) ?? 0;
    taken.set(at.join(), n + 1);
    return [{ f, x: at[0] * W + (n % 6) * 20, y: at[1] * H + Math.floor(n / 6) * 20 }];
  });
  const go = (e: MouseEvent) => { const one = (e.target as Element).closest("[data-draft]"); if (one) desk.select(one.getAttribute("data-draft")!); };
  const pencil = desk.count("drafts");
  return (
    <figure class="map" onClick={go}>
      <div dangerouslySetInnerHTML={{ __html: dark ? house.section.dark : house.section.light }} />
      <svg viewBox={`0 0 ${W} ${H}`} aria-hidden="true">{marks.map(({ f, x, y }) => <circle key={f.id} data-draft={f.id} class={`${f.state} ${f.id === desk.draft ? "on" : ""}`} cx={x} cy={y} r={f.id === desk.draft ? 13 : R + 1} />)}</svg>
      <figcaption class="away">{desk.drafts.length} drafts on the section of the house, {pencil} in pencil. They stand in the list of drafts, by level.</figcaption>
      <p class="at" aria-hidden="true">{desk.current ? where(LEVELS[desk.current.level] ?? "", cap(desk.current.place)) : ""}</p>
    </figure>
  );
}

const where = (level: string, place: string) => (!level || place.toLowerCase().startsWith(level.toLowerCase()) ? place : `${level}: ${place}`);
const why = (said: string): string => { try { return (JSON.parse(said) as { error: { problem: string } }).error.problem; } catch { return "the server said nothing of it"; } };
function Report() {
  const frame = useRef<HTMLIFrameElement>(null), [shown, set] = useState(0), [loading, load] = useState(true), [failed, fail] = useState("");
  useEffect(() => {
    if (!desk.report || shown === desk.report) return;
    const t = setTimeout(() => { load(true); set(desk.report); }, shown ? SETTLES_MS : 0);
    return () => clearTimeout(t);
  }, [desk.report, shown]);
  const to = () => { const at = frame.current?.contentDocument?.getElementById(desk.draft); if (at) at.scrollIntoView({ block: "start" }); };
  useEffect(to, [desk.draft]);
  const left = desk.blocking;
  return (
    <>
      <p class="pad quiet pdf">{left ? `${left} ${left === 1 ? "thing still blocks" : "things still block"} delivery; until then it is headed as a draft.` : "Nothing blocks delivery."} <a href={`/api/1/visits/${desk.visit}/report.pdf`} target="_blank" rel="noreferrer">PDF</a> <a href={`/api/1/visits/${desk.visit}/report.html`} target="_blank" rel="noreferrer">Page</a></p>
      <p class={shown && !loading ? "away" : "pad quiet"} role="status">{loading && !failed ? "The report is being made." : ""}</p>
      <iframe ref={frame} class={loading || shown !== desk.report ? "waits" : ""} title="The report as it will be" sandbox="allow-same-origin" src={shown ? `/api/1/visits/${desk.visit}/report.html?n=${shown}` : undefined}
        onLoad={(e) => { const page = e.currentTarget.contentDocument; load(false); fail(page?.contentType === "application/json" ? why(page.body.textContent ?? "") : ""); to(); }} hidden={!!failed} />
      {failed && <p class="pad trouble" role="alert">The report could not be made: {failed}</p>}
    </>
  );
}

export function Side() {
  const panel = desk.panel;
  useFacts();
  useEffect(() => {
    const all = [...document.querySelectorAll<HTMLElement>("[data-item]")].map((e) => e.dataset.item!);
    if (!desk.inList || !all.length || panel === "find") return;
    const n = all.indexOf(desk.item);
    if (n >= 0) desk.itemAt = n;
    else { desk.item = all[Math.min(desk.itemAt, all.length - 1)]!; desk.changed(); }
  });
  return (
    <aside class="side" aria-label="Map, report and what is open">
      <Map />
      <section class="panel" aria-labelledby="h-side">
        <header><h2 id="h-side" tabIndex={-1}>{NAMES[panel]}</h2>
          {panel === "report" ? <button class="plain" aria-pressed={desk.wide} onClick={() => { desk.wide = !desk.wide; desk.changed(); }}><Kbd>V</Kbd>{desk.wide ? "Narrow" : "Wide"}</button>
            : <button class="plain" onClick={() => desk.show("report")}><Kbd>0</Kbd>Report</button>}</header>
        {panel === "report" ? <Report /> : <List panel={panel} />}
      </section>
    </aside>
  );
}

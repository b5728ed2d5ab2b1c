// The drafts, by place: one is open, the others are a line each. Pencil until decided, then ink.

import { useEffect } from "preact/hooks";
import { desk } from "./desk";
import { Forms } from "./forms";
import { Glyph, Kbd, Numbered, Said, file } from "./parts";
import { BASIS, LEVELS, PARTS, STAKE, STANDING, VERDICT, WHEN, cap, measured, plain } from "./record";
import type { Check, Finding } from "./record";

const DID: Record<string, string> = { accept: "accepted", reword: "reworded", move: "moved", standing: "standing changed", split: "split", draft: "made of a remark by hand" };

function Proof({ c }: { c: Check }) {
  const lines = ([["Measured", c.measured], ["Sum", c.sum], ["Held against", c.held_against], ["By its date", c.by_its_date]] as const).filter(([, text]) => text);
  return (
    <div class="check">
      <p class="says"><Glyph of={c.verdict} /><b>{VERDICT[c.verdict] ?? plain(c.verdict)}.</b> {c.says}</p>
      <dl>{lines.map(([name, text]) => <div key={name}><dt>{name}</dt><dd>{text}</dd></div>)}
        {c.sources.length > 0 && <div><dt>Source</dt><dd>{c.sources.map((s) => `${s.document}, ${s.section}, ${s.edition} (${BASIS[s.basis] ?? s.basis})`).join("; ")}</dd></div>}</dl>
      {c.caution && <p class="caution">{c.caution}</p>}
    </div>
  );
}

function Evidence({ f }: { f: Finding }) {
  const rec = desk.rec!, remarks = f.evidence.flatMap((e) => rec.remarks.filter((r) => r.id === e.remark)), photos = f.evidence.flatMap((e) => rec.photos.filter((p) => p.id === e.photo));
  const readings = f.readings.flatMap((q) => rec.readings.filter((x) => x.id === q)), checks = f.checks.flatMap((c) => rec.checks.filter((x) => x.id === c));
  return (
    <section class="know" aria-label="How we know">
      <h4>How we know</h4>
      {remarks.length > 0 && <ul class="heard">{remarks.map((r) => <li key={r.id}><Said of={r} /> <q>{r.text}</q>{r.speaker && <small> {r.speaker}</small>}</li>)}</ul>}
      {readings.length > 0 && <p class="reads">{readings.map((q) => <span key={q.id}>{cap(plain(q.quantity))} <b>{measured(q)}</b></span>)}</p>}
      {checks.map((c) => <Proof key={c.id} c={c} />)}
      {photos.length > 0 && <p class="pics">{photos.map((p) => <button key={p.id} class="pic" aria-label={`Picture: ${p.caption}. Open it`} onClick={() => { desk.picture = p.id; desk.changed(); }}><img loading="lazy" src={file(p.file, 320)} alt="" />{p.plate.length > 0 && <span>plate</span>}{p.marks.length > 0 && <span>marked</span>}</button>)}</p>}
      {!remarks.length && !photos.length && !checks.length && <p class="quiet">{f.narrative.how_we_know}</p>}
    </section>
  );
}

const ACTS: [key: string, says: string, act: () => void][] = [
  ["a", "Accept", () => acts.accept()], ["r", "Reword", () => acts.form("reword")], ["s", "Standing", () => acts.form("standing")], ["p", "Place", () => acts.form("place")],
  ["m", "Merge", () => acts.form("merge")], ["b", "Split", () => acts.form("split")], ["x", "Set aside", () => acts.form("aside")],
];
export const acts = {
  accept: () => { const f = desk.current; if (f) void desk.decide(f.id, "accept", { was: f.title }, `Accepted: ${f.title}`); },
  form: (form: "reword" | "standing" | "place" | "merge" | "split" | "aside") => { if (desk.current) desk.unfold(form, desk.current.id); },
};

function Open({ f }: { f: Finding }) {
  const waits = desk.waits(f.id), n = f.narrative;
  return (
    <div class={`open ${f.state} ${waits ? "waits" : ""}`} aria-busy={waits}>
      <p class="facts"><span><Glyph of={f.standing} />{STANDING[f.standing]}</span><span><Glyph of={f.when} />{WHEN[f.when]}</span>{f.at_stake.map((s) => <span key={s}><Glyph of={s} />{STAKE[s]}</span>)}</p>
      <p class="where">{cap(f.place)}{f.component && `, ${f.component}`}. {f.state === "ink" ? `Ink: ${DID[f.decided] ?? "decided"}.` : "Pencil: not decided yet."}</p>
      {f.doubt && <p class="doubt"><b>Doubt.</b> {f.doubt}</p>}
      <div class="acts" role="group" aria-label="Decide">{ACTS.map(([key, says, act]) => <button key={key} class={key === "a" && f.state === "pencil" ? "do" : ""} aria-keyshortcuts={desk.keys ? key : undefined} aria-expanded={key === "a" ? undefined : desk.about === f.id && desk.form !== "" && says.toLowerCase().startsWith(desk.form === "aside" ? "set" : desk.form)} onClick={act}><Kbd>{key.toUpperCase()}</Kbd>{says}</button>)}</div>
      {desk.about === f.id && <Forms f={f} />}
      <div class="text">{(Object.keys(PARTS) as (keyof typeof PARTS)[]).filter((k) => n[k]).map((k) => <p key={k}><b>{PARTS[k]}.</b> {n[k]}</p>)}
        {f.cautions.map((c) => <p class="caution" key={c}>{c}</p>)}</div>
      <Evidence f={f} />
      {waits && <p class="soon">The new text is being made.</p>}
    </div>
  );
}

export function Drafts() {
  const drafts = desk.drafts, levels = [...new Set(drafts.map((f) => f.level))];
  useEffect(() => {
    const at = document.getElementById(`d-${desk.draft}`), box = at?.closest<HTMLElement>(".scroll");
    if (at && box) box.scrollTop += at.getBoundingClientRect().top - box.getBoundingClientRect().top - (at.parentElement?.querySelector<HTMLElement>(".level")?.offsetHeight ?? 0);
  }, [desk.draft]);
  return (
    <section class="drafts" aria-labelledby="h-drafts">
      <header><h2 id="h-drafts">Drafts by place</h2><span>{drafts.length} drafts, {drafts.filter((f) => f.state === "ink").length} in ink</span></header>
      <div class="scroll" tabIndex={-1}>
        {levels.map((level) => (
          <section key={level} aria-labelledby={`l-${level}`}>
            <h3 class="level" id={`l-${level}`}>{LEVELS[level] ?? cap(level)}</h3>
            {drafts.filter((f) => f.level === level).map((f) => {
              const on = f.id === desk.draft;
              return (
                <article key={f.id} id={`d-${f.id}`} class={`draft ${f.state} ${on ? "on" : ""} ${desk.waits(f.id) ? "waits" : ""}`} aria-labelledby={`t-${f.id}`}>
                  <h4><button id={`t-${f.id}`} aria-expanded={on} aria-current={on ? "true" : undefined} onClick={() => { if (on) { desk.draft = ""; desk.changed(); } else desk.select(f.id); }}>
                    <Numbered n={f.number} standing={f.standing} /><span class="t">{f.title}</span>{!on && <span class="p">{f.state === "pencil" ? (f.doubt ? "pencil, doubt" : "pencil") : cap(f.place.replace(/^interior, |^exterior, /, ""))}</span>}
                  </button></h4>
                  {on && <Open f={f} />}
                </article>
              );
            })}
          </section>
        ))}
        {desk.failed && <p class="pad"><b>The drafts could not be made anew.</b> What you decide is kept. <button class="plain" onClick={() => void desk.judge()}>Try again</button></p>}
        {!drafts.length && !desk.failed && <p class="quiet pad">{desk.judging ? `No drafts yet: ${desk.judging}.` : "No drafts: nothing that was said or measured became one."}</p>}
      </div>
    </section>
  );
}

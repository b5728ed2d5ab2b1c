// What is still open, a list for each count. Each goes to zero by being decided, closed or answered with a reason.

import { asked, desk } from "./desk";
import type { Panel } from "./desk";
import { FactForm, Facts, factOf, factSays, keepFact } from "./facts";
import { Make, asideActs, places } from "./forms";
import { Choose, Digits, Glyph, Said, Unfolded, file } from "./parts";
import { ASIDE, FATE, cap, hour, measured, plain } from "./record";
import type { Loop, Matter, Photo, Remark } from "./record";
import { Act, Row, asks } from "./rows";
import { pairs } from "./twice";

export const NAMES: Record<Panel, string> = {
  report: "The report as it will be", drafts: "Drafts to decide", loose: "Loose ends", doubts: "Doubts", gaps: "Asked for, and nothing shows it",
  loops: "To put back", others: "Before delivery", find: "Found", history: "What was decided", twice: "Seen by two people?",
};
export const COUNTED: [Panel, string, string][] = [
  ["drafts", "draft to decide", "drafts to decide"], ["loose", "loose end", "loose ends"], ["doubts", "doubt", "doubts"], ["gaps", "gap", "gaps"], ["loops", "to put back", "to put back"], ["others", "other block", "other blocks"],
];

function DraftsToDecide() {
  return <ul class="list">{desk.drafts.filter((f) => f.state === "pencil").map((f) => (
    <Row key={f.id} id={f.id}><p><b>{f.title}</b></p><p class="quiet">{cap(f.place)}{f.doubt && `. ${f.doubt}`}</p>
      <p class="acts"><Act k="a" main says="Accept" act={() => void desk.decide(f.id, "accept", { was: f.title }, `Accepted: ${f.title}`)} /><Act k="o" says="Open it" act={() => desk.select(f.id)} /></p></Row>
  ))}</ul>;
}

const USES = ["information", "limitation", "as_found", "safety"];
function End({ r }: { r: Remark }) {
  return (
    <Row id={r.id}>
      <p><Said of={r} /> <q>{r.text}</q></p><p class="quiet">{cap(r.place) || "Place not said"}{!desk.blocks(r.id) && ". It blocks nothing"}</p>
      <p class="acts"><Act k="x" says="Set aside" act={() => desk.unfold("aside", r.id)} /><Act k="a" main says="It has a use" act={() => desk.unfold("why", r.id)} /><Act k="f" says="Make a finding" act={() => desk.unfold("draft", r.id)} /></p>
      {asks(r.id, "draft") && <Make r={r} />}
      {asks(r.id, "aside") && <Unfolded name="Set aside, because it is"><Digits of={ASIDE} act={asideActs(r.id, r.text)} /></Unfolded>}
      {asks(r.id, "why") && <Unfolded name="Use it as"><Digits of={USES.map((u) => FATE[u]!)} act={(says) => void desk.decide(r.id, "use", { use: USES.find((u) => FATE[u] === says)!, was: r.text }, `Used as ${says}: ${r.text}`)} /></Unfolded>}
    </Row>
  );
}

function Shot({ p }: { p: Photo }) {
  const filed = p.findings.map((i) => desk.drafts.find((f) => f.id === i)?.title).filter(Boolean).join("; ");
  const to = [{ id: "", says: "No draft: it only shows the place" }, ...desk.drafts.map((f) => ({ id: f.id, says: `${f.number}  ${f.title}`, more: cap(f.place) }))];
  return (
    <Row id={p.id}>
      <div class="shot"><button class="pic" aria-label={`Picture: ${p.caption}. Open it`} onClick={() => { desk.picture = p.id; desk.changed(); }}><img loading="lazy" src={file(p.file, 320)} alt="" /></button>
        <div><p>{p.doubts.map((d) => cap(d)).join(". ")}</p><p class="quiet">{filed ? `Filed with: ${filed}` : cap(p.place) || "Not placed"}{p.seconds !== null && `, ${hour(desk.started, p.seconds)}`}</p></div></div>
      <p class="acts"><Act k="a" main says="Filed right" act={() => void desk.decide(p.id, "accept", {}, "Filed right")} /><Act k="m" says="Other draft" act={() => desk.unfold("merge", p.id)} /><Act k="p" says="Other place" act={() => desk.unfold("place", p.id)} /><Act k="x" says="Of no draft" act={() => void desk.decide(p.id, "set_aside", {}, "Belongs to no draft")} /></p>
      {asks(p.id, "merge") && <Unfolded name="File with another draft"><Choose label="Draft" all={to} act={(finding) => void desk.decide(p.id, "move", { finding }, "Filed anew")} /></Unfolded>}
      {asks(p.id, "place") && <Unfolded name="Another place"><Choose label="Place" all={places()} act={(place) => void desk.decide(p.id, "move", { place }, `Moved to ${place}`)} free={(place) => void desk.decide(p.id, "move", { place }, `Moved to ${place}`)} /></Unfolded>}
    </Row>
  );
}

function Doubts() {
  const { drafts, photos, hides, plates } = desk.doubtful;
  return <ul class="list">
    {drafts.map((f) => <Row key={f.id} id={f.id}><p><b>{f.title}</b></p><p>{f.doubt}</p><p class="acts"><Act k="a" main says="Accept" act={() => void desk.decide(f.id, "accept", { was: f.title }, `Accepted: ${f.title}`)} /><Act k="o" says="Open it" act={() => desk.select(f.id)} /></p></Row>)}
    {plates.map((p) => <Row key={`plate-${p.id}`} id={`plate-${p.id}`} waits={p.id}><p><b>What the plate says is doubtful</b></p><p>{p.plate.filter((f) => asked(p, f)).map((f) => `${cap(plain(f.field))} ${f.value} ${f.unit}`).join("; ")}</p><p class="acts"><Act k="o" main says="Look at the plate" act={() => { desk.picture = p.id; desk.changed(); }} /></p></Row>)}
    {hides.map((p) => <Row key={`hide-${p.id}`} id={`hide-${p.id}`} waits={p.id}><p><b>Perhaps a paper or a screen in the picture</b></p><p>Should it be hidden in the report? {cap(p.caption)}.</p><p class="acts"><Act k="o" main says="Look at it" act={() => { desk.picture = p.id; desk.changed(); }} /></p></Row>)}
    {photos.map((p) => <Shot key={p.id} p={p} />)}
  </ul>;
}

const Why = ({ id, name, keep, act }: { id: string; name: string; keep: string; act: (why: string) => void }) =>
  asks(id, "why") ? <Unfolded name={name} keep={keep} act={(form) => act(String(form.get("why")).trim())}><label>Why<input name="why" required autocomplete="off" /></label></Unfolded> : null;

function Gap({ m }: { m: Matter }) {
  const clauses = m.evidence.map((e) => e.clause).filter((c): c is string => !!c), subjects = (clauses.length ? clauses : [m.subject.split("@")[0]!]).map((c) => (m.place ? `${c}@${m.place}` : c));
  const tick = async (state: string, says: string, why = "") => {
    for (const subject of subjects) if (!(await desk.decide(subject, "tick", { state, ...(why ? { why } : {}) }, `${says}: ${m.says}`, [m.id]))) return;
  };
  return (
    <Row id={m.id}>
      <p>{cap(m.says.replace(/\. Nothing shows it\.$/, "").replace(/\.$/, ""))}.</p><p class="quiet">{m.place && `${cap(m.place)}. `}{m.clause}{m.unverified && " (from memory)"}</p>
      <p class="acts"><Act k="a" main says="Done" act={() => void tick("done", "Done")} /><Act k="x" says="Not here" act={() => void tick("not_present", "Not here")} /><Act k="s" says="Not seen" act={() => desk.unfold("why", m.id)} /><Act k="r" says="Answer" act={() => desk.unfold("reword", m.id)} /></p>
      <Why id={m.id} name="Could not be seen" keep="Keep" act={(why) => void tick("limited", "Not seen", why)} />
      {asks(m.id, "reword") && <Unfolded name="Why it stands" keep="Keep" act={(form) => void desk.decide(m.id, "answer", { why: String(form.get("why")).trim() }, `Answered: ${m.says}`)}><label>Why<input name="why" required autocomplete="off" /></label></Unfolded>}
    </Row>
  );
}

function Gaps() {
  return (
    <>
      <p class="pad"><label class="pick"><input type="checkbox" checked={desk.alsoAsked} onChange={(e) => { desk.alsoAsked = e.currentTarget.checked; desk.changed(); }} />also what only asks, and blocks nothing</label></p>
      <ul class="list">{desk.gaps.map((m) => <Gap key={m.id} m={m} />)}</ul>
    </>
  );
}

function Ring({ l }: { l: Loop }) {
  const twice = l.back.includes(l.says); // nobody said it: it follows from what was done
  return (
    <Row id={l.id}>
      <p><Glyph of="open" /><b>{cap(twice ? l.thing : l.says)}</b></p><p class="quiet">{cap(l.place)}{l.opened_at !== null && `, ${hour(desk.started, l.opened_at)}`}. {l.back && `${cap(l.back)}.`}{!desk.blocks(l.id) && " It blocks nothing."}</p>
      <p class="acts"><Act k="a" main says="It is put back" act={() => void desk.decide(l.id, "put_back", { was: l.says }, `Put back: ${l.says}`)} /><Act k="x" says="It stays changed" act={() => desk.unfold("why", l.id)} /></p>
      <Why id={l.id} name="It stays changed" keep="Keep" act={(why) => void desk.decide(l.id, "leave", { why, was: l.says }, `Left changed: ${l.says}`)} />
    </Row>
  );
}

function Other({ m }: { m: Matter }) {
  const told = m.kind === "told", fact = factOf(m.id);
  return (
    <Row id={m.id}>
      <p><b>{m.says}</b></p><p class="quiet">{m.place && `${cap(m.place)}. `}{fact ? fact.value ? `Written: ${factSays(fact)}. It goes when the drafts are made anew.` : "A fact of the visit." : cap(m.mend)}{m.clause && ` (${m.clause})`}</p>
      <p class="acts">{told && <Act k="a" main says="Somebody was told" act={() => desk.unfold("place", m.id)} />}{fact && <Act k="a" main says={fact.takes === "yes" ? "It is so" : "Write it"} act={() => { if (fact.takes === "yes") void keepFact(fact, true); else desk.unfold("fact", m.id); }} />}<Act k="r" main={!told && !fact} says="Answer" act={() => desk.unfold("why", m.id)} />{desk.drafts.some((f) => f.id === m.subject) && <Act k="o" says="Open it" act={() => desk.select(m.subject)} />}</p>
      {fact && asks(m.id, "fact") && <FactForm f={fact} />}
      <Why id={m.id} name="Why it stands" keep="Keep" act={(why) => void desk.decide(m.id, "answer", { why }, `Answered: ${m.says}`)} />
      {asks(m.id, "place") && <Unfolded name="Who was told" keep="Keep" act={(form) => void desk.decide(m.subject, "told", { who: String(form.get("who")), when: String(form.get("when")), how: String(form.get("how")) }, `Told: ${m.says}`)}>
        <label>Who<input name="who" required autocomplete="off" /></label><label>When<input name="when" required autocomplete="off" /></label><label>How<input name="how" required autocomplete="off" /></label></Unfolded>}
    </Row>
  );
}

function Find() {
  const words = desk.query.toLowerCase().split(/\s+/).filter(Boolean), hit = (text: string) => words.length > 0 && words.every((w) => text.toLowerCase().includes(w)), rec = desk.rec!;
  const drafts = desk.drafts.filter((f) => hit(`${f.title} ${f.place} ${f.component} ${Object.values(f.narrative).join(" ")}`)), remarks = rec.remarks.filter((r) => hit(`${r.text} ${r.place}`));
  const readings = rec.readings.filter((q) => hit(`${plain(q.quantity)} ${q.value} ${q.component} ${q.place}`));
  const most = 60, n = drafts.length + remarks.length + readings.length;
  const toRemark = (id: string | null) => { const r = rec.remarks.find((x) => x.id === id); if (r) desk.player.seek(desk, r.source, r.start, false); };
  return (
    <>
      <p class="pad find"><label>Find in drafts, words and readings<input id="find" type="search" autocomplete="off" value={desk.query} onInput={(e) => { desk.query = e.currentTarget.value; desk.changed(); }}
        onKeyDown={(e) => { if (e.key === "Enter") { document.querySelector<HTMLElement>("#list li button")?.focus(); e.preventDefault(); } }} /></label><span role="status">{words.length ? `${n} found` : ""}</span></p>
      <ul class="list" id="list">
        {drafts.slice(0, most).map((f) => <Row key={f.id} id={f.id}><p><b>{f.title}</b></p><p class="acts"><Act k="o" says="Open it" act={() => desk.select(f.id)} /></p></Row>)}
        {remarks.slice(0, most).map((r) => <Row key={r.id} id={r.id} go={() => toRemark(r.id)}><p><Said of={r} /> <q>{r.text}</q></p><p class="quiet">{cap(r.place)}</p></Row>)}
        {readings.slice(0, most).map((q) => <Row key={q.id} id={q.id}><p>{cap(plain(q.quantity))} <b>{measured(q)}</b></p><p class="quiet">{cap(q.place)} {q.component}</p>{q.remark && <p class="acts"><Act k="o" says="Show it in the walk" act={() => toRemark(q.remark)} /></p>}</Row>)}
      </ul>
    </>
  );
}

const VERBS: Record<string, string> = {
  accept: "Accepted", reword: "Reworded", standing: "Standing changed", move: "Moved", merge: "Merged", split: "Split", set_aside: "Set aside", use: "Used", tick: "Looked at", put_back: "Put back", leave: "Left changed", told: "Told", answer: "Answered", blur: "Hidden",
  draft: "Finding made", restore: "Brought back", open: "Opened",
};
/** What a decision took away has no words in the record any more. */
const GONE: Record<string, string> = { f: "A draft that is no longer in the record", r: "A remark that is no longer in the record", p: "A picture that is no longer in the record" };
function History() {
  const name = (subject: string) => desk.drafts.find((f) => f.id === subject)?.title ?? desk.rec?.remarks.find((r) => r.id === subject)?.text ?? desk.rec?.photos.find((p) => p.id === subject)?.caption ?? GONE[/^[frp][0-9a-f]{8,}$/.test(subject) ? subject[0]! : ""] ?? subject;
  return (
    <ul class="list">
      {desk.history.map(({ event: e, off }) => {
        const verb = e.kind === "decision" ? VERBS[String(e.verb)] ?? String(e.verb) : e.kind === "tick" ? "Looked at" : "Marked";
        const says = String(e.was ?? "") || name(String(e.subject ?? e.photo ?? ""));
        return <Row key={e.id} id={e.id} waits={String(e.subject ?? e.photo ?? "")}><p class={off ? "off" : ""}><b>{verb}.</b> {says}</p><p class="quiet">{e.at.slice(11, 16)}, {e.v ? `device ${e.device}` : `${String(e.file)}, line ${e.seq}`}{e.why ? `. ${String(e.why)}` : ""}{off && ". Taken back."}</p>
          <p class="acts">{off ? <Act k="a" says="Let it count again" act={() => void desk.redo(e)} /> : <Act k="u" says="Take back" act={() => void desk.undo(e)} />}</p></Row>;
      })}
      {!desk.history.length && <li><p>Nothing was decided in this visit yet.</p></li>}
    </ul>
  );
}

function Twice() {
  const both = pairs(desk.drafts, desk.rec?.remarks ?? [], desk.deviceOf);
  return (
    <ul class="list">
      {both.map(([a, b]) => (
        <Row key={a.id + b.id} id={`${a.id}-${b.id}`} waits={a.id}><p><b>{a.title}</b></p><p><b>{b.title}</b></p><p class="quiet">{cap(a.place)}, by two devices. Nothing is merged unless you say so.</p>
          <p class="acts"><Act k="a" main says="One and the same: merge" act={() => void desk.decide(b.id, "merge", { into: a.id, was: b.title }, `Merged: ${b.title}`)} /><Act k="o" says="Open the first" act={() => desk.select(a.id)} /></p></Row>
      ))}
      {!both.length && <li><p>No two drafts from two devices look alike.</p></li>}
    </ul>
  );
}

export function List({ panel }: { panel: Panel }) {
  const empty = desk.count(panel) === 0 && COUNTED.some(([p]) => p === panel) && !(panel === "gaps" && desk.alsoAsked);
  return (
    <div class="scroll">
      {empty && <p class="zero"><Glyph of="closed" />None left.</p>}
      {panel === "drafts" && <DraftsToDecide />}
      {panel === "loose" && <ul class="list">{desk.looseEnds.map((r) => <End key={r.id} r={r} />)}</ul>}
      {panel === "doubts" && <Doubts />}
      {panel === "gaps" && <Gaps />}
      {panel === "loops" && <ul class="list">{desk.openLoops.map((l) => <Ring key={l.id} l={l} />)}</ul>}
      {panel === "others" && <><ul class="list">{desk.others.map((m) => <Other key={m.id} m={m} />)}</ul><Facts /></>}
      {panel === "find" && <Find />}
      {panel === "history" && <History />}
      {panel === "twice" && <Twice />}
    </div>
  );
}

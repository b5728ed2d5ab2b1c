// What a decision needs to be told: new words, a standing and why, a place, another draft, which remarks, a reason.

import { useEffect } from "preact/hooks";
import { desk } from "./desk";
import { Choose, Digits, Glyph, Unfolded } from "./parts";
import { ASIDE, LEVELS, PARTS, STAKE, STANDING, WHEN, cap, hour, nearest } from "./record";
import type { Finding, Remark } from "./record";
import type { Fields } from "../lib/types";

function Reword({ f }: { f: Finding }) {
  const keep = (form: FormData) => {
    const fields: Fields = {}, title = String(form.get("title")).trim();
    if (title && title !== f.title) fields.title = title;
    for (const k of Object.keys(PARTS) as (keyof typeof PARTS)[]) {
      const text = String(form.get(k) ?? "").trim();
      if (text !== f.narrative[k]) fields[k] = text;
    }
    if (Object.keys(fields).length) void desk.decide(f.id, "reword", { ...fields, was: f.title }, `Reworded: ${title}`);
    else desk.close();
  };
  return (
    <Unfolded name="Reword" keep="Keep these words" act={keep}>
      <label>Title<textarea name="title" rows={2} required defaultValue={f.title} /></label>
      {(Object.keys(PARTS) as (keyof typeof PARTS)[]).map((k) => <label key={k}>{PARTS[k]}<textarea name={k} rows={k === "who" ? 1 : 3} defaultValue={f.narrative[k]} /></label>)}
      <p class="quiet">Ctrl and Enter keep them.</p>
    </Unfolded>
  );
}

function Picks({ name, of, is, many = false }: { name: string; of: Record<string, string>; is: string[]; many?: boolean }) {
  const label = { standing: "Standing", when: "When", at_stake: "At stake" }[name];
  return (
    <fieldset><legend>{label}</legend>
      {Object.entries(of).map(([k, says]) => <label key={k} class="pick"><input type={many ? "checkbox" : "radio"} name={name} value={k} defaultChecked={is.includes(k)} /><Glyph of={k} />{says}</label>)}
    </fieldset>
  );
}

function Standing({ f }: { f: Finding }) {
  const keep = (form: FormData) => {
    const why = String(form.get("why")).trim();
    const fields: Fields = { standing: String(form.get("standing")), when: String(form.get("when")), at_stake: form.getAll("at_stake").map(String), why, was: f.title };
    void desk.decide(f.id, "standing", fields, `Standing changed to ${STANDING[String(fields.standing)]}: ${f.title}`);
  };
  return (
    <Unfolded name="Change the standing" keep="Keep" act={keep}>
      <Picks name="standing" of={STANDING} is={[f.standing]} /><Picks name="when" of={WHEN} is={[f.when]} /><Picks name="at_stake" of={STAKE} is={f.at_stake} many />
      <label>Why<input name="why" required autocomplete="off" /></label>
    </Unfolded>
  );
}

export const places = () => {
  const named = (desk.house?.places ?? []).map((p) => ({ id: p.place, says: cap(p.place), more: LEVELS[p.level] ?? "" }));
  const used = [...new Set([...desk.drafts.map((f) => f.place), ...(desk.rec?.remarks ?? []).map((r) => r.place)])].filter(Boolean);
  return [...used.map((p) => ({ id: p, says: cap(p), more: "in this visit" })), ...named.filter((n) => !used.includes(n.id))];
};
function Place({ f }: { f: Finding }) {
  const act = (place: string) => void desk.decide(f.id, "move", { place, was: f.title }, `Moved to ${place}: ${f.title}`);
  return <Unfolded name="Move to another place"><Choose label="Place" all={places().filter((p) => p.id !== f.place)} act={act} free={act} /></Unfolded>;
}

function Merge({ f }: { f: Finding }) {
  const near = (o: Finding) => (o.component === f.component ? 2 : 0) + (o.place === f.place ? 2 : 0) + (o.level === f.level ? 1 : 0);
  const all = desk.drafts.filter((o) => o.id !== f.id).sort((a, b) => near(b) - near(a) || a.number - b.number).map((o) => ({ id: o.id, says: `${o.number}  ${o.title}`, more: cap(o.place) }));
  const act = (into: string) => void desk.decide(f.id, "merge", { into, was: f.title }, `Merged: ${f.title}`, [into]);
  return <Unfolded name="Merge into another draft; its evidence goes along"><Choose label="Draft that stays" all={all} act={act} /></Unfolded>;
}

function Split({ f }: { f: Finding }) {
  const remarks = f.evidence.flatMap((e) => desk.rec!.remarks.filter((r) => r.id === e.remark));
  if (remarks.length < 2) return <Unfolded name="Split"><p>Only one remark stands behind this draft, so there is nothing to split. Reword it, or move it.</p></Unfolded>;
  const keep = (form: FormData) => {
    const chosen = form.getAll("remark").map(String);
    if (!chosen.length || chosen.length === remarks.length) { desk.say("Choose some of the remarks, not none and not all."); return; }
    void desk.decide(f.id, "split", { remarks: chosen, title: String(form.get("title")).trim(), was: f.title }, `Split: ${f.title}`);
  };
  return (
    <Unfolded name="Split: what goes into a draft of its own" keep="Split" act={keep}>
      <fieldset><legend>Remarks that go</legend>{remarks.map((r) => <label key={r.id} class="pick"><input type="checkbox" name="remark" value={r.id} />{hour(desk.started, desk.offset(r.source) + r.start)} {r.text}</label>)}</fieldset>
      <label>Title of the new draft<input name="title" required autocomplete="off" /></label>
    </Unfolded>
  );
}

export const asideActs = (id: string, was: string) => (why: string) => void desk.decide(id, "set_aside", { why, was }, `Set aside, ${why}: ${was}`);
function Aside({ f }: { f: Finding }) {
  const act = asideActs(f.id, f.title);
  return (
    <Unfolded name="Set aside, because it is" keep="Keep this reason" act={(form) => { const why = String(form.get("why")).trim(); if (why) act(why); }}>
      <Digits of={ASIDE} act={act} /><label>or another reason<input name="why" autocomplete="off" /></label>
    </Unfolded>
  );
}

/** A finding of a remark from which none was drafted: the part and what is wrong with it are chosen by typing. */
export function Make({ r }: { r: Remark }) {
  useEffect(() => void desk.fetchCatalogue(), []);
  if (!desk.catalogue) return <Unfolded name="Make a finding of it"><p role="status">The catalogue is being asked for</p></Unfolded>;
  const all = nearest(desk.catalogue, r.text).map((c) => ({ id: c.id, says: c.title, more: cap(c.part) }));
  const act = (condition: string) => void desk.decide(r.id, "draft", { condition, was: r.text }, `Finding made: ${desk.catalogue!.find((c) => c.id === condition)?.title ?? condition}`);
  return <Unfolded key="made" name="Make a finding of it"><Choose label="The part, or what is wrong with it" all={all} act={act} /></Unfolded>;
}

export function Forms({ f }: { f: Finding }) {
  switch (desk.form) {
    case "reword": return <Reword key={f.id} f={f} />;
    case "standing": return <Standing key={f.id} f={f} />;
    case "place": return <Place key={f.id} f={f} />;
    case "merge": return <Merge key={f.id} f={f} />;
    case "split": return <Split key={f.id} f={f} />;
    case "aside": return <Aside key={f.id} f={f} />;
    default: return null;
  }
}

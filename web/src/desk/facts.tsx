// Facts of the visit that the law may want on the report or in the file. They stand in visit.toml, on the server, and not in
// the journal: without the server nothing is kept, and the desk says so.

import { useEffect, useState } from "preact/hooks";
import { Refused, ask } from "../lib/sync";
import { desk } from "./desk";
import { Unfolded } from "./parts";
import { Act, Row, asks } from "./rows";

interface Fact { need: string; name: string; takes: "text" | "moment" | "yes"; hint: string; value: string; matter: string }
const AGAIN_MS = 4000;
let all: Fact[] = [];

/** The fact that a matter misses. */
export const factOf = (matter: string): Fact | undefined => all.find((f) => f.matter === matter);
export const factSays = (f: Fact): string => (f.takes === "moment" ? f.value.slice(0, 16).replace("T", ", ") : f.value);

let asked = 0, got = 0;
async function told(path: string, init?: RequestInit): Promise<void> {
  const turn = ++asked, said = ((await (await ask(`visits/${desk.visit}/${path}`, init)).json()) as { facts: Fact[] }).facts;
  if (turn > got) [all, got] = [said, turn];  // an older answer may come after a newer one
}

export async function keepFact(f: Fact, value: string | boolean): Promise<void> {
  const open = desk.form + desk.about;
  try {
    await told(`facts/${f.need}`, { method: "PUT", body: JSON.stringify({ value }), headers: { "content-type": "application/json" } });
    desk.trouble = "";
    if (desk.form + desk.about === open) desk.close();
    desk.say(`${f.name}: written. On the server.`);
  } catch (err) {
    desk.trouble = `Not kept: ${err instanceof Refused ? err.message : "the server cannot be reached, and facts of the visit are kept there only"}.`;
    desk.changed();
  }
}

export function FactForm({ f }: { f: Fact }) {
  const both = { name: "value", required: true, autocomplete: "off" } as const;
  return (
    <Unfolded name={f.name} keep="Keep" act={(form) => void keepFact(f, String(form.get("value")))}>
      <label>{f.takes === "moment" ? "Day and hour, at the house" : f.hint || "As it stands on the report"}
        {f.takes === "moment" ? <input type="datetime-local" {...both} defaultValue={f.value.slice(0, 16)} /> : <input type="text" maxLength={500} {...both} defaultValue={f.value} />}</label>
    </Unfolded>
  );
}

/** They are there before somebody types, and follow every record. */
export function useFacts(): void {
  const [tries, again] = useState(0);
  useEffect(() => {
    let wait: ReturnType<typeof setTimeout> | undefined;
    if (desk.rec) void told("facts").then(() => desk.changed(), () => { wait = setTimeout(() => again((n) => n + 1), AGAIN_MS); });
    return () => clearTimeout(wait);
  }, [desk.rec, tries]);
}

/** All of them, to be seen and put right. */
export function Facts() {
  if (!all.length) return null;
  return (
    <section class="facts-of" aria-labelledby="h-facts">
      <h3 id="h-facts">Facts of the visit</h3>
      <ul class="list">{all.map((f) => (
        <Row key={f.need} id={f.need}><p>{f.name}: {f.value ? <b>{factSays(f)}</b> : <span class="quiet">not said</span>}</p>
          <p class="acts"><Act k="a" says={f.takes === "yes" ? (f.value ? "It is not so" : "It is so") : f.value ? "Change it" : "Write it"} act={() => { if (f.takes === "yes") void keepFact(f, !f.value); else desk.unfold("fact", f.need); }} /></p>
          {asks(f.need, "fact") && <FactForm f={f} />}</Row>
      ))}</ul>
    </section>
  );
}

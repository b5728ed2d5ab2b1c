// A reading: the verdict comes with the last digit, from the report's own checks. Keep stores it.

import { useEffect, useState } from "preact/hooks";
import type { Answer } from "../lib/checks";
import type { Fields, Quick } from "../lib/types";
import { app, buzz } from "./app";
import { Head, Icon, Loops, Rows, State, Talk } from "./parts";
import { unit } from "./walk";

const WORD = { meets: "Meets", falls_short: "Falls short", cannot_tell: "Cannot tell", not_applicable: "Nothing to hold it against" };
const MOST = 7;

export function Choose() {
  const level = app.place?.level ?? "", all = app.kit?.readings ?? [];
  const rows = [...all].sort((a, b) => Number(b.levels.includes(level)) - Number(a.levels.includes(level)));
  return (
    <>
      <main class="top"><Head under={app.folded.place || "No place said yet"}>What do you read?</Head><State />
        {!rows.length && <p class="pad">The list comes with the first sync. Until then, say the reading.</p>}
        <Rows rows={rows.map((of) => ({ text: of.name, more: unit(of.unit), act: () => app.go({ at: "reading", of }) }))} />
      </main>
      <footer class="dock"><Loops /><Talk says="Say the reading" /></footer>
    </>
  );
}

export function Reading({ of }: { of: Quick }) {
  const [typed, set] = useState(""), [answered, setAnswered] = useState(""), [answer, setAnswer] = useState<Answer>();
  const [open, setOpen] = useState(false);
  const value = typed === "" || typed === "." || typed === "-" ? NaN : Number(typed);
  const doubt = Math.max(of.doubt, of.relative * Math.abs(value || 0));
  const out = (of.low !== null && value < of.low) || (of.high !== null && value > of.high);
  const place = app.place?.id ?? app.folded.place;

  useEffect(() => {
    let mine = true;
    if (Number.isNaN(value) || out || app.checks?.state !== "ready") { setAnswer(undefined); return; }
    const told = of.ask && answered ? [{ quantity: of.ask.input, value: answered, unit: "", place, component: of.component }] : [];
    const rows = [...told, { quantity: of.quantity, value, unit: of.unit, uncertainty: doubt, place, component: of.component }];
    app.checks.ask(rows, app.visit?.house?.facts ?? {}).then((got) => {
      if (!mine) return;
      setAnswer(got);
      if (got.checks[0]?.verdict === "falls_short") buzz([40, 60, 40]);
    }, () => setAnswer(undefined));
    return () => { mine = false; };
  }, [typed, answered, app.checks?.state]);

  const best = answer?.checks[0], word = best && WORD[best.verdict];
  const press = (k: string) => set((t) => (k === "wipe" ? t.slice(0, -1) : t.length >= MOST || (k === "." && t.includes(".")) ? t : t + k));
  const keep = async () => {
    if (Number.isNaN(value)) return;
    const from = app.screen;
    if (of.ask && answered) await app.add("reading", app.here({ quantity: of.ask.input, value: answered, component: of.component }));
    const fields: Fields = { quantity: of.quantity, value, unit: of.unit, uncertainty: doubt, component: of.component, text: of.name, ...(word ? { note: `${word} when typed` } : {}) };
    if (await app.add("reading", app.here(fields), true)) { app.say("Reading kept on this phone"); app.go({ at: "walk" }, from); }
  };
  const rule = answer?.rule?.[app.settings.light === "dark" ? "dark" : "light"];
  return (
    <>
      <main class="top" onKeyDown={(e) => typeKey(e, press)}>
        <Head under={[app.folded.place || "no place", of.part].filter(Boolean).join(", ")}>{of.name}</Head>
        <div class="read" aria-live="polite">
          <p class="val"><span class={`v ${typed.length > 3 ? "long" : ""}`}>{typed || "–"}</span> <span class="u"><span>{unit(of.unit)}</span>{doubt > 0 && <span>± {shown(2 * doubt)}</span>}</span></p>
          <p class="verd">{out ? <b>Is that right?</b> : word ? <><Glyph of={best.verdict} /><b>{word}</b></> : <span>{waits(typed)}</span>}</p>
        </div>
        {of.ask && <fieldset class="answers"><legend>{of.ask.question}</legend>{of.ask.answers.map((a) => <button type="button" class="chip" aria-pressed={answered === a} onClick={() => setAnswered(a)}>{a}</button>)}</fieldset>}
        <div class="gauge">
          {out ? <p>Readings of this kind lie between {of.low} and {of.high} {unit(of.unit)}. It is kept as you typed it.</p>
            : open && best ? <Why of={best} />
            : best && <button class="why" onClick={() => setOpen(true)}>{rule && !of.ask && <span class="drawn" dangerouslySetInnerHTML={{ __html: rule }} />}<span class="says">{best.says || "How we know"}</span></button>}
        </div>
      </main>
      <footer class="dock">
        {open && best && !out ? <div class="keys one"><button class="key" onClick={() => setOpen(false)}>Back to the digits</button></div> : <div class="pad9">{["1", "2", "3", "4", "5", "6", "7", "8", "9", of.low !== null && of.low < 0 ? "-." : ".", "0"].map((k) =>
          <button class="digit" onClick={() => press(k === "-." ? (typed === "" ? "-" : ".") : k)}>{k === "-." ? "− ." : k}</button>)}
          <button class="digit" aria-label="Wipe the last digit" onClick={() => press("wipe")}><Icon of="wipe" /></button></div>}
        <Loops />
        <div class="two"><Talk small /><button class="big" disabled={Number.isNaN(value)} onClick={() => void keep()}>Keep</button></div>
      </footer>
    </>
  );
}

const waits = (typed: string) =>
  app.checks?.state === "ready" ? (typed ? "Nothing to hold it against" : "Type what you read") : app.checks?.state === "none" ? "The report will judge it" : "The checks are loading. Keep works already.";

function typeKey(e: KeyboardEvent, press: (k: string) => void) {
  if (/^[0-9.]$/.test(e.key)) press(e.key);
  else if (e.key === "Backspace") press("wipe");
}
const shown = (n: number) => String(Number(n.toPrecision(2)));

function Why({ of }: { of: NonNullable<Answer["checks"][0]> }) {
  const lines: [string, string][] = [["Measured", of.measured], ["Sum", of.sum], ["Held against", of.held_against], ["By its date", of.by_its_date]];
  return (
    <div class="know"><p>{of.says}</p><dl>{lines.filter(([, v]) => v).map(([k, v]) => <><dt>{k}</dt><dd>{v}</dd></>)}</dl>
      {of.caution && <p class="caution">{of.caution}</p>}</div>
  );
}

/** A dot against an upright limit whose wrong side is hatched. The word stands beside it. */
function Glyph({ of }: { of: string }) {
  const x = of === "meets" ? 7 : of === "falls_short" ? 24 : 15;
  return (
    <svg class="glyph" viewBox="0 0 32 16" aria-hidden="true">
      <path d="M15,1V15" stroke-width="1.8" /><path class="hatch" d="M15,14l3.2,-12M18.2,14l3.2,-12M21.4,14l3.2,-12M24.6,14l3.2,-12M27.8,14l3.2,-12" />
      {of === "cannot_tell" && <path d="M8,8H22" stroke-width="1.8" />}<circle cx={x} cy="8" r="3.8" />
    </svg>
  );
}

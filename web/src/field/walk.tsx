// The screen of the walk: where I am, what was last kept, what is still to see, and the keys.

import { useMemo, useState } from "preact/hooks";
import type { Event } from "../lib/types";
import { SECOND, app } from "./app";
import { Camera, Dock, Head, Icon, State } from "./parts";

/** The section drawing with the plumb bob at the place. */
export function Where() {
  const house = app.visit?.house, at = app.place?.at, light = app.settings.light;
  const svg = useMemo(() => house && house.section[light === "dark" ? "dark" : "light"].replace("<svg ", '<svg aria-hidden="true" '), [house, light]);
  if (!house || !svg) return <div class="nodraw">The drawing comes with the first sync.</div>;
  return (
    <div class="drawing">
      <div dangerouslySetInnerHTML={{ __html: svg }} />
      {at && <svg class="bob" viewBox="0 0 100 100" preserveAspectRatio="none" aria-hidden="true"><path d={`M${at[0] * 100},0V${at[1] * 100}`} vector-effect="non-scaling-stroke" /></svg>}
      {at && <svg class="lead" viewBox="0 0 34 42" aria-hidden="true" style={{ left: `${at[0] * 100}%`, top: `${at[1] * 100}%` }}><path d="M0,0h34l-17,42z" /></svg>}
    </div>
  );
}

export function became(e: Event | undefined): [string, string] {
  if (!e) return ["Nothing kept yet", "Hold the key below and say what you see"];
  const at = new Date(e.at).toLocaleTimeString([], { hour: "2-digit", minute: "2-digit", hour12: false });
  const text = (v: unknown) => (typeof v === "string" ? v : "");
  switch (e.kind) {
    case "photo": return ["Picture", `${at}, ${text(e.place) || "no place yet"}`];
    case "reading": return [`${text(e.text) || text(e.quantity)}: ${String(e.value)} ${unit(text(e.unit))}`, text(e.note) || at];
    case "tick": return [`Seen: ${low(text(e.note)) || text(e.subject)}`, at];
    case "limit": return [`Could not see: ${text(e.text)}`, text(e.why)];
    case "open": return [`Changed: ${text(e.thing)}`, `${at}, to be put back`];
    case "close": return ["Put back", at];
    case "hold": return ["To come back to", text(e.text) || text(e.place)];
    case "word": return [text(e.text), at];
    case "place": return [`Here: ${text(e.place)}`, at];
    case "pass": return [e.name === SECOND ? (e.state === "ended" ? "Second pass outside ended" : "Second pass outside begun") : e.state === "ended" ? "The visit is ended" : text(e.name), at];
    case "mark": return ["A mark on a picture", at];
    case "decision": return ["Decided at the desk", at];
    case "gate": return [e.go === true ? "Checked before going in" : "Not going in", text(e.why) || at];
    default: return [e.kind, at];
  }
}
export const unit = (u: string) => ({ degF: "°F", degC: "°C", "in/12": "in 12", "in/ft": "in per ft", percent: "%", count: "" })[u] ?? u;

export function Walk() {
  const todo = app.todo(), all = app.gaps().length, place = app.folded.place, band = app.visit?.house?.bands.find((b) => b.level === app.place?.level)?.name;
  const [title, more] = became(app.folded.last);
  return (
    <>
      <main class="top">
        <h1 class="away" tabIndex={-1}>{app.visit?.name}: the walk</h1>
        <button class="where" onClick={() => app.go({ at: "place" })}>
          <Where />
          <span class="wt"><b>{band && band.toLowerCase() !== place.toLowerCase() ? band : place ? up(place) : "Where are you?"}</b><span>{band ? (band.toLowerCase() === place.toLowerCase() ? "" : up(place)) : "Tap to say"}</span></span>
          {app.second && <span class="pass">Second pass outside: the ground</span>}
        </button>
        <State />
        <section class="heard" aria-live="polite" aria-label="Last kept">
          {app.said && <p class="said">{app.said}</p>}
          <p class="became"><b>{title}</b><span>{more}</span></p>
        </section>
      </main>
      <Dock>
        {app.undoable ? <button class="todo undo" onClick={() => void app.undo()}><b>Undo</b><span>{title}</span></button>
          : <button class="todo" onClick={() => app.go(todo.length ? { at: "seen" } : { at: "gaps" })}>
              <b class="n">{todo.length || !place ? todo.length || all : 0}</b><span>{todo.length ? <>still to see here: {todo.slice(0, 3).map((t) => short(t.says)).join(", ")}</> : place ? <>still to see here, {all} in the whole house</> : "still to see in the whole house"}</span>
            </button>}
        <div class="keys">
          <Camera take={(f) => void app.photo(f)}><Icon of="photo" />Photo</Camera>
          <button class="key" onClick={() => app.go({ at: "reading" })}><Icon of="reading" />Reading</button>
          <button class="key" onClick={() => app.go({ at: "unseen" })}><Icon of="unseen" />Can’t see</button>
          <button class="key" onClick={() => app.go({ at: "seen" })}><Icon of="seen" />Seen</button>
          <button class="key" onClick={() => void keepPlace()}><Icon of="mark" />Come back</button>
          <button class="key" onClick={() => app.go({ at: "more" })}><Icon of="more" />More</button>
        </div>
      </Dock>
    </>
  );
}
/** What is to be done, as short as it stays clear. */
export const short = (says: string) => says.replace(/^look at /, "").replace(/^say what kind, or where: /, "say what kind: ");
const up = (text: string) => text.charAt(0).toUpperCase() + text.slice(1);
/** Within a line; what is written in capitals stays so. */
export const low = (text: string) => (/^[A-Z][a-z ]/.test(text) ? text.charAt(0).toLowerCase() + text.slice(1) : text);

/** Somebody asks, the walk stops: the place and what runs are kept. */
async function keepPlace() {
  const running = [...new Set(app.rings.filter((l) => l.again_s !== null).map((l) => l.thing))].join(", ");
  if (await app.add("hold", app.here({ text: running ? `Running: ${running}` : app.folded.place || "here" }), true)) app.say("Kept to come back to");
}

export function TypeIt() {
  const [text, set] = useState("");
  const keep = async () => { const from = app.screen; if (text.trim() && (await app.add("word", app.here({ text: text.trim() }), true))) { app.say("Kept"); app.go({ at: "walk" }, from); } };
  return (
    <><main class="top"><Head under={app.folded.place || "No place said yet"}>Type a remark</Head>
      <form class="ask" onSubmit={(e) => { e.preventDefault(); void keep(); }}>
        <label for="words">What do you see?</label>
        <textarea id="words" rows={4} value={text} onInput={(e) => set(e.currentTarget.value)} />
        <button class="big" type="submit" disabled={!text.trim()}>Keep</button>
      </form></main><Dock /></>
  );
}

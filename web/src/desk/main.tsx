// The desk screen: the walk, the drafts, the report.

import { render } from "preact";
import { useEffect, useState } from "preact/hooks";
import "../desk.css";
import { Axis } from "./axis";
import { desk } from "./desk";
import { Drafts } from "./drafts";
import { AllKeys, KEYS, useKeys } from "./keys";
import { COUNTED } from "./lists";
import { Kbd } from "./parts";
import { Picture } from "./picture";
import { hour } from "./record";
import { Side } from "./side";
import { Tape } from "./tape";

const Logo = () => <svg class="logo" viewBox="0 0 40 26" aria-hidden="true"><path d="M2,23H38M3.4,23L20,3.4L36.6,23" /><path class="post" d="M20,3.4V23" /><path class="strut" d="M20,14L12.4,23M20,14L27.6,23" /></svg>;

function Visits() {
  return (
    <main class="visits">
      <h1><Logo />Kingpost at the desk</h1>
      {!desk.visits && <p role="status">{desk.online ? "Asking the server" : "The server cannot be reached. It is asked again by itself."}</p>}
      <ul>{desk.visits?.map((v) => <li key={v.id}><button onClick={() => void desk.open(v.id)}><b>{v.name}</b><span>{v.started.slice(0, 10)}, {v.photos} pictures</span></button></li>)}</ul>
      {desk.visits?.length === 0 && <p>No visit is on this server yet. One that is begun in the field comes here by itself.</p>}
    </main>
  );
}

function Bar() {
  const p = desk.player, rec = desk.rec;
  return (
    <header class="bar">
      <a class="home" href="/desk.html" aria-label="All visits" onClick={(e) => { e.preventDefault(); location.href = "/desk.html"; }}><Logo /></a>
      <h1>{rec?.visit.name || desk.visits?.find((v) => v.id === desk.visit)?.name || desk.visit}</h1>
      <div class="play"><button aria-label={p.playing ? "Stop" : "Play"} onClick={() => p.toggle(desk)}><svg viewBox="0 0 20 20" aria-hidden="true">{p.playing ? <path d="M4,3h4v14h-4zM12,3h4v14h-4z" /> : <path d="M5,3l12,7l-12,7z" />}</svg></button><span class="clock">{hour(desk.started, p.now(desk))}</span></div>
      <nav class="counts" aria-label="What is still open">
        {COUNTED.map(([panel, one, many], n) => { const c = desk.count(panel); return <button key={panel} class={c ? "" : "none"} aria-pressed={desk.panel === panel} onClick={() => { desk.show(desk.panel === panel ? "report" : panel); }}><Kbd>{n + 1}</Kbd><b>{c}</b> <span>{c === 1 ? one : many}</span></button>; })}
      </nav>
    </header>
  );
}

function Foot() {
  const busy = desk.judging && desk.busy ? ` ${desk.judging[0]!.toUpperCase()}${desk.judging.slice(1)}.` : "";
  return (
    <footer class="foot">
      <ul aria-label="Keys">{KEYS.map(([key, says]) => <li key={key}><Kbd>{key}</Kbd>{key === "?" ? <button onClick={() => (document.getElementById("keys") as HTMLDialogElement).showModal()}>{says}</button> : key === "U" ? <button onClick={() => void desk.undo()}>{says}</button> : says}</li>)}</ul>
      <p><span role="status">{desk.said && !/[.!?]$/.test(desk.said) ? `${desk.said}.` : desk.said}</span> <span class={desk.online ? "quiet" : "trouble"}>{desk.where}.{busy}</span></p>
      {desk.trouble && <p class="trouble" role="alert">{desk.trouble}</p>}
    </footer>
  );
}

/** One column where the window is narrow for the reader's size of text. */
function fit(): void {
  const letters = innerWidth / parseFloat(getComputedStyle(document.documentElement).fontSize), root = document.documentElement.dataset;
  if (letters < 70 || innerHeight < 500) root.narrow = letters < 30 ? "very" : "yes"; else delete root.narrow;
}

function Screen() {
  const [, again] = useState(0);
  useEffect(() => { desk.changed = () => again((n) => n + 1); void desk.begin(); }, []);
  useKeys();
  useEffect(() => { const on = () => { fit(); desk.changed(); }; on(); addEventListener("resize", on); return () => removeEventListener("resize", on); }, []);
  useEffect(() => { document.title = desk.rec ? `${desk.rec.visit.name}, at the desk` : "Kingpost at the desk"; }, [desk.rec]);
  if (!desk.visit) return <Visits />;
  return (
    <div class={`desk ${desk.wide && desk.panel === "report" ? "wide" : ""}`}>
      <a class="skip" href="#h-drafts" onClick={(e) => { e.preventDefault(); document.querySelector<HTMLElement>(".draft.on h4 button, .draft h4 button")?.focus(); }}>Skip to the drafts</a>
      <Bar />
      <Axis />
      <main><h2 class="away">The visit</h2><Tape /><Drafts /><Side /></main>
      <Foot />
      <AllKeys />
      <Picture />
    </div>
  );
}

render(<Screen />, document.getElementById("app")!);

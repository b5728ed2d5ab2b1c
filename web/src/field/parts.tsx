// What several screens share: icons, the strip of open rings, the talk key, a key that is held, the head.

import type { ComponentChildren, JSX } from "preact";
import { useEffect, useRef, useState } from "preact/hooks";
import { due } from "../lib/fold";
import { app, buzz } from "./app";

const PATHS: Record<string, JSX.Element> = {
  photo: <><path d="M4,10h6l2.5,-4h7l2.5,4h6v16H4z" /><circle cx="16" cy="17.5" r="5" /></>,
  reading: <><path d="M3,24H29M5,24v-7M9.5,24v-4M14,24v-4M18.5,24v-7M23,24v-4M27,24v-4" /><path class="full" d="M18.5,5l4,6h-8z" /><path d="M18.5,11v4" /></>,
  unseen: <><path d="M4,26V13L16,5l12,8v13z" stroke-dasharray="4 3" /><path d="M10,20c3,-5 9,-5 12,0c-3,5 -9,5 -12,0z" /><path d="M6,28L27,8" /></>,
  seen: <path d="M5,17l7,8L27,7" />,
  mark: <path d="M9,4h14v24l-7,-6l-7,6z" />,
  more: <path d="M5,9H27M5,16H27M5,23H27" />,
  mic: <><rect x="12" y="4" width="8" height="14" rx="4" /><path d="M7,15c0,6 4,9 9,9s9,-3 9,-9M16,24v5" /></>,
  back: <path d="M20,6L9,16L20,26" />,
  wipe: <path d="M11,7H28V25H11L3,16zM15,12l8,8M23,12l-8,8" />,
  ring: <path d="M22,7A11,11 0 1 0 26.5,12.5" stroke-width="3.6" />,
  ringed: <><circle cx="16" cy="16" r="11" /><path d="M10,16l5,5l8,-10" /></>,
  tick: <path d="M6,17l7,8L26,7" stroke-width="4.4" />,
};
export const Icon = ({ of, class: name = "" }: { of: keyof typeof PATHS; class?: string }) => (
  <svg class={`icon ${name}`} viewBox="0 0 32 32" aria-hidden="true">{PATHS[of]}</svg>
);

/** Renders again every second, for clocks. */
export function useClock(): number {
  const [now, set] = useState(Date.now());
  useEffect(() => { const t = setInterval(() => set(Date.now()), 1000); return () => clearInterval(t); }, []);
  return now;
}
export const minutes = (ms: number) => (Math.abs(ms) >= 3_600_000 ? `${Math.floor(Math.abs(ms) / 3_600_000)} h ${Math.floor((Math.abs(ms) / 60_000) % 60)}` : short(ms));
const short = (ms: number) => `${Math.floor(Math.abs(ms) / 60_000)}:${String(Math.floor((Math.abs(ms) / 1000) % 60)).padStart(2, "0")}`;
export const clock = (at: number) => new Date(at).toLocaleTimeString([], { hour: "2-digit", minute: "2-digit", hour12: false });
export const things = (n: number, one: string, many = `${one}s`) => `${n} ${n === 1 ? one : many}`;

/** Always in view: how many rings are open, and which is next. */
export function Loops() {
  const now = useClock(), open = app.rings, next = open[0];
  const clocked = next && next.again_s !== null, left = clocked ? due(next) - now : 0;
  useEffect(() => { if (clocked && left <= 0 && left > -1500) buzz(600); });
  return (
    <button class={`loops ${clocked && left <= 0 ? "due" : ""}`} onClick={() => app.go({ at: "loops" })}>
      <Icon of={open.length ? "ring" : "ringed"} />
      <b>{open.length} to put back</b>
      {next && <span>{next.thing}<br />{clocked ? (left > 0 ? `look in ${minutes(left)}` : `${minutes(left)} over`) : `since ${clock(next.at)}`}</span>}
    </button>
  );
}

/** Works while it is held, by finger, by key or by a screen reader's press (then a second press ends it). */
export function Talk({ small = false, says = "Sound is kept as you speak" }: { small?: boolean; says?: string }) {
  const on = app.talking !== "", runs = app.talking === "on", since = useRef(0);
  const down = () => { since.current = Date.now(); void app.talk(); };
  const up = () => void app.quiet();
  return (
    <button class={`talk ${small ? "small" : ""} ${on ? "on" : ""}`} aria-pressed={on}
      onPointerDown={(e) => { e.currentTarget.setPointerCapture?.(e.pointerId); down(); }} onPointerUp={up} onPointerCancel={up} onContextMenu={(e) => e.preventDefault()}
      onKeyDown={(e) => { if ((e.key === " " || e.key === "Enter") && !e.repeat) { e.preventDefault(); down(); } }}
      onKeyUp={(e) => { if (e.key === " " || e.key === "Enter") { e.preventDefault(); up(); } }}
      onClick={(e) => { if (e.detail === 0 && Date.now() - since.current > 1000) { if (on) up(); else down(); } }}>
      <Icon of="mic" />
      <span><b>{runs ? "Listening" : on ? "One moment" : small ? "Say it" : "Hold to talk"}</b>{!small && <small>{on ? "Let go to end" : says}</small>}</span>
    </button>
  );
}

/** A key that acts only when it is held: 0.6 s, so that a sleeve does nothing. */
export function Hold({ act, children, class: name = "", label }: { act: () => void; children: ComponentChildren; class?: string; label?: string }) {
  const timer = useRef<ReturnType<typeof setTimeout> | undefined>(undefined), [held, set] = useState(false);
  const begin = () => { if (timer.current) return; set(true); timer.current = setTimeout(() => { end(); buzz(60); act(); }, 600); };
  const end = () => { clearTimeout(timer.current); timer.current = undefined; set(false); };
  useEffect(() => end, []);
  return (
    <button class={`hold ${name} ${held ? "held" : ""}`} aria-label={label}
      onPointerDown={begin} onPointerUp={end} onPointerLeave={end} onPointerCancel={end} onContextMenu={(e) => e.preventDefault()}
      onKeyDown={(e) => { if ((e.key === " " || e.key === "Enter") && !e.repeat) { e.preventDefault(); begin(); } }} onKeyUp={end} onBlur={end}>
      {children}
    </button>
  );
}

export function Head({ children, under }: { children: ComponentChildren; under?: ComponentChildren }) {
  return (
    <><header class="head">
      <button class="square" aria-label="Back to the walk" onClick={() => app.go({ at: "walk" })}><Icon of="back" /></button>
      <div><h1 tabIndex={-1}>{children}</h1>{under && <p>{under}</p>}</div>
    </header>
    <Trouble /></>
  );
}

/** What went wrong last, on whatever screen he is. */
const Trouble = () => (app.trouble ? <p class="trouble wrong" role="alert">{app.trouble}</p> : null);

/** What is kept where, in words. */
export function State() {
  const { phone, server, bytesPhone } = app.safe();
  const here = phone + bytesPhone, where = here === 0 && server ? `All ${server} on the server` : `${here} on this phone, ${server} on the server`;
  return (
    <div class="state">
      <p>{app.online ? "" : "No signal. "}{where}</p>
      {app.screen.at === "walk" && <Trouble />}
    </div>
  );
}

/** Opens the camera; the picture is kept before anything is shown. */
export function Camera({ take, children, class: name = "key" }: { take: (file: File) => void; children: ComponentChildren; class?: string }) {
  const input = useRef<HTMLInputElement>(null);
  return (
    <>
      <button class={name} onClick={() => input.current?.click()}>{children}</button>
      <input ref={input} class="away" type="file" accept="image/*" capture="environment" tabIndex={-1} aria-hidden="true"
        onChange={(e) => { const file = e.currentTarget.files?.[0]; e.currentTarget.value = ""; if (file) take(file); }} />
    </>
  );
}

export function Dock({ children, talk = true }: { children?: ComponentChildren; talk?: boolean }) {
  return <footer class="dock">{children}<Loops />{talk && <Talk />}</footer>;
}

/** A list of large rows to choose from. */
export function Rows({ rows }: { rows: { text: string; more?: string; act: () => void; on?: boolean; one?: boolean }[] }) {
  return (
    <ul class="rows">
      {rows.map((r) => <li key={r.text}><button onClick={r.act} aria-pressed={r.on}>{r.on !== undefined && <span class={`box ${r.one ? "one" : ""} ${r.on ? "on" : ""}`}>{r.on && !r.one && <Icon of="tick" />}</span>}<span><b>{r.text}</b>{r.more && <span>{r.more}</span>}</span></button></li>)}
    </ul>
  );
}

// What several parts of the desk share: marks, glyphs, times that play, keys, a form that unfolds.

import type { ComponentChildren, JSX } from "preact";
import { useEffect, useRef } from "preact/hooks";
import { desk } from "./desk";
import { hour } from "./record";
import type { Remark } from "./record";

const line = { fill: "none", stroke: "currentColor", "stroke-width": 1.5, "stroke-linejoin": "round", "stroke-linecap": "round" } as const;
const day = <path {...line} d="M10,1.5V14.5" />;
const GLYPHS: Record<string, JSX.Element> = {
  deficiency: <circle cx="8" cy="8" r="6.6" fill="currentColor" />,
  recommendation: <><circle {...line} cx="8" cy="8" r="6.2" /><circle {...line} cx="8" cy="8" r="3.1" /></>,
  information: <circle {...line} cx="8" cy="8" r="6.2" stroke-dasharray="2.9 1.97" />,
  before_moving_in: <>{day}<path fill="currentColor" d="M1.5,5.2h6.2v5.6h-6.2z" /></>,
  this_season: <>{day}<path fill="currentColor" d="M12.4,6.2h5.4v3.6h-5.4z" /></>,
  this_year: <>{day}<path fill="currentColor" d="M12.4,6.2h18v3.6h-18z" /></>,
  keep_an_eye_on: <>{day}<path {...line} d="M13,8h2.2M17.4,8h2.2M21.8,8h2.2" /><path fill="currentColor" d="M25.6,4.8l5.2,3.2l-5.2,3.2z" /></>,
  people: <><circle {...line} cx="8" cy="4.4" r="2.7" /><path {...line} d="M2.9,14.6c.1,-3.9 1.9,-5.7 5.1,-5.7s5,1.8 5.1,5.7z" /></>,
  structure: <path {...line} d="M.9,13.2L8,3.1L15.1,13.2zM8,3.1V13.2M8,8.9L4.6,13.2M8,8.9L11.4,13.2" />,
  water: <path {...line} d="M8,1.6c2.1,2.9 4.7,5.8 4.7,8.4a4.7,4.7 0 0 1 -9.4,0c0,-2.6 2.6,-5.5 4.7,-8.4z" />,
  equipment: <path {...line} d="M1.6,12.8a6.4,6.4 0 0 1 12.8,0zM8,12.8L10.9,7.9" />,
  comfort: <path {...line} d="M3.7,7.2V4.8a2.2,2.2 0 0 1 2.2,-2.2h4.2a2.2,2.2 0 0 1 2.2,2.2v2.4M1.3,8.9a1.45,1.45 0 0 1 2.9,0v1.5h7.6v-1.5a1.45,1.45 0 0 1 2.9,0v4.2h-13.4z" />,
  meets: <><path {...line} d="M16,1.5V14.5" /><path {...line} stroke-width=".8" d="M17.6,14l3,-12M20.6,14l3,-12M23.6,14l3,-12M26.6,14l3,-12" /><circle cx="6" cy="8" r="3.4" fill="currentColor" /></>,
  cannot_tell: <><path {...line} d="M16,1.5V14.5M9.2,8h13.6" /><path {...line} stroke-width=".8" d="M20.6,14l3,-12M23.6,14l3,-12M26.6,14l3,-12" /><circle cx="16" cy="8" r="3.4" fill="currentColor" /></>,
  falls_short: <><path {...line} d="M16,1.5V14.5" /><path {...line} stroke-width=".8" d="M17.6,14l3,-12M29.6,14l2,-9" /><circle cx="24.4" cy="8" r="3.4" fill="currentColor" /></>,
  open: <path {...line} stroke-width="2.1" d="M11.6,3.2a6,6 0 1 0 2.3,3.6" />,
  closed: <><circle {...line} cx="8" cy="8" r="6" /><path {...line} d="M5.3,8.2l2,2.1l3.6,-4.2" /></>,
};
const WIDE = ["before_moving_in", "this_season", "this_year", "keep_an_eye_on", "meets", "cannot_tell", "falls_short"];
export const Glyph = ({ of }: { of: string }) => (
  GLYPHS[of] ? <svg class={`gl ${WIDE.includes(of) ? "w" : ""}`} viewBox={WIDE.includes(of) ? "0 0 34 16" : "0 0 16 16"} aria-hidden="true">{GLYPHS[of]}</svg> : null
);

/** A numbered mark; its rim is the standing. */
export const Numbered = ({ n, standing }: { n: number; standing: string }) => (
  <svg class="mk" viewBox="0 0 34 34" aria-hidden="true">
    {standing === "deficiency" ? <circle cx="17" cy="17" r="15.6" fill="var(--mark)" />
      : standing === "recommendation" ? <><circle cx="17" cy="17" r="15.6" fill="var(--paper)" stroke="var(--mark)" stroke-width="1.7" /><circle cx="17" cy="17" r="12.4" fill="none" stroke="var(--mark)" stroke-width="1.2" /></>
        : <circle cx="17" cy="17" r="15.4" fill="var(--paper)" stroke="var(--mark)" stroke-width="1.9" stroke-dasharray="5.2 3.26" />}
    <text x="17" y={n > 99 ? 21.4 : 22.4} text-anchor="middle" font-size={n > 99 ? 12 : 15.5} fill={standing === "deficiency" ? "var(--on-mark)" : "var(--mark)"}>{n}</text>
  </svg>
);

export const Kbd = ({ children }: { children: ComponentChildren }) => <kbd aria-hidden="true">{children}</kbd>;

/** A time that plays from there. */
export function Said({ of }: { of: Remark }) {
  const at = hour(desk.started, desk.offset(of.source) + of.start);
  return <button class="src" aria-label={`Play from ${at}`} onClick={() => desk.player.seek(desk, of.source, of.start, true)}>{at}</button>;
}

export const file = (path: string, size?: number) => `/api/1/visits/${desk.visit}/files/${path.split("/").map(encodeURIComponent).join("/")}${size ? `?size=${size}` : ""}`;

/** A form that unfolds below what it is about. Esc folds it away; the focus goes in, and back out. */
export function Unfolded({ name, keep, children, act }: { name: string; keep?: string; children: ComponentChildren; act?: (form: FormData) => void }) {
  const at = useRef<HTMLFormElement>(null), from = useRef<Element | null>(null);
  useEffect(() => {
    from.current = document.activeElement;
    at.current?.querySelector<HTMLElement>("[data-first], textarea, input, select, button")?.focus();
    return () => { if (document.activeElement === document.body || !document.activeElement) (from.current as HTMLElement | null)?.focus?.(); };
  }, []);
  return (
    <form class="form" ref={at} aria-label={name} onSubmit={(e) => { e.preventDefault(); act?.(new FormData(e.currentTarget)); }}
      onKeyDown={(e) => {
        if (e.key === "Escape") { e.stopPropagation(); e.preventDefault(); desk.close(); }
        if (e.key === "Enter" && (e.ctrlKey || e.metaKey)) { e.preventDefault(); at.current?.requestSubmit(); }
      }}>
      <h4>{name}</h4>
      {children}
      <p class="ends">{keep && <button class="do" type="submit">{keep}</button>}<button class="plain" type="button" onClick={() => desk.close()}>Leave as it is <Kbd>Esc</Kbd></button></p>
    </form>
  );
}

/** Choices with numbers: a digit takes one at once. */
export function Digits({ of, act }: { of: string[]; act: (one: string) => void }) {
  return (
    <ol class="digits" onKeyDown={(e) => { const one = of[Number(e.key) - 1]; if (one && !e.ctrlKey && !e.altKey && !e.metaKey && !(e.target instanceof HTMLInputElement)) { e.preventDefault(); e.stopPropagation(); act(one); } }}>
      {of.map((one, n) => <li key={one}><button type="button" onClick={() => act(one)}><Kbd>{n + 1}</Kbd>{one}</button></li>)}
    </ol>
  );
}

/** A list to choose from by typing; arrows go into it. */
export function Choose({ label, all, free, act }: { label: string; all: { id: string; says: string; more?: string }[]; free?: (words: string) => void; act: (id: string) => void }) {
  const at = useRef<HTMLDivElement>(null), words = desk.query.toLowerCase().split(/\s+/).filter(Boolean);
  useEffect(() => { desk.query = ""; desk.changed(); }, []);
  const shown = all.filter((a) => words.every((w) => `${a.says} ${a.more ?? ""}`.toLowerCase().includes(w))).slice(0, 40);
  const move = (e: KeyboardEvent, by: number) => {
    const rows = [...at.current!.querySelectorAll<HTMLElement>("input, li button")], n = rows.indexOf(document.activeElement as HTMLElement);
    e.preventDefault();
    rows[Math.max(0, Math.min(rows.length - 1, n + by))]?.focus();
  };
  return (
    <div class="choose" ref={at} onKeyDown={(e) => { if (e.key === "ArrowDown") move(e, 1); if (e.key === "ArrowUp") move(e, -1); }}>
      <label>{label}<input data-first autocomplete="off" value={desk.query} onInput={(e) => { desk.query = e.currentTarget.value; desk.changed(); }}
        onKeyDown={(e) => { if (e.key === "Enter" && !e.ctrlKey) { e.preventDefault(); if (free && desk.query.trim() && !shown.some((s) => s.says === desk.query.trim())) free(desk.query.trim()); else if (shown[0] && desk.query) act(shown[0].id); } }} /></label>
      <ul>{shown.map((a) => <li key={a.id}><button type="button" onClick={() => act(a.id)}><b>{a.says}</b>{a.more && <span>{a.more}</span>}</button></li>)}</ul>
      {free && <p class="quiet">Enter takes what is typed; the arrows go into the list.</p>}
    </div>
  );
}

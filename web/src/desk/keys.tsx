// Keys of the desk. They may be turned off (some speech programs type letters); every one has a button too.

import { useEffect, useRef } from "preact/hooks";
import * as db from "../lib/db";
import { acts } from "./drafts";
import { desk } from "./desk";
import type { Panel } from "./desk";
import { COUNTED } from "./lists";

export const KEYS: [string, string][] = [
  ["J K", "move"], ["N", "next pencil"], ["A", "accept"], ["R", "reword"], ["S", "standing"], ["P", "place"], ["M", "merge"], ["B", "split"], ["X", "set aside"], ["U", "undo"],
  ["Space", "play"], ["L", "loose end"], ["/", "find"], ["?", "all keys"],
];
const MORE: [string, string][] = [
  ["J", "the next draft, or the next row of the open list"], ["K", "the one before"],
  ["1 to 6", "the lists of what is open"], ["0", "the report"], ["V", "the report wide"], ["H", "what was decided"], ["D", "drafts that two people may have made of one thing"],
  ["F", "in the loose ends: make a finding of the remark"], ["1 to 5", "in a form with reasons: take that reason"], ["Ctrl Enter", "keep what is written in a form"], ["Esc", "leave the form, then the list"],
  ["arrows", "in the walk: row by row, word by word; Enter plays"], ["Tab", "everything else, in order"],
];

const off = (e: KeyboardEvent) => { const at = e.target as HTMLElement; return at.matches("input:not([type=checkbox]):not([type=radio]), textarea, select"); };
const soon = (act: () => void) => requestAnimationFrame(() => requestAnimationFrame(act));

/** The row of the open list that keys are for. */
function row(): HTMLElement | null {
  const all = [...document.querySelectorAll<HTMLElement>("[data-item]")], at = all.find((e) => e.dataset.item === desk.item) ?? all[Math.min(desk.itemAt, all.length - 1)] ?? null;
  if (at) desk.item = at.dataset.item!;
  return at;
}

function move(by: number): void {
  if (desk.inList) {
    const all = [...document.querySelectorAll<HTMLElement>("[data-item]")], n = all.findIndex((e) => e.dataset.item === desk.item);
    const to = all[n < 0 ? Math.min(desk.itemAt, all.length - 1) : Math.max(0, Math.min(all.length - 1, n + by))];
    if (!to) return;
    [desk.item, desk.form, desk.about] = [to.dataset.item!, "", ""];
    desk.changed();
    to.tabIndex = -1;
    to.focus({ preventScroll: true });
    return;
  }
  const all = desk.drafts, n = all.findIndex((f) => f.id === desk.draft), to = all[Math.max(0, Math.min(all.length - 1, n < 0 ? 0 : n + by))];
  if (to) take(to.id);
}
function take(draft: string): void {
  desk.select(draft);
  soon(() => document.getElementById(`t-${draft}`)?.focus({ preventScroll: true }));
}
function show(panel: Panel): void {
  desk.show(panel);
  soon(() => (panel === "find" ? document.getElementById("find") : document.getElementById("h-side"))?.focus());
}
function next(): void {
  const all = desk.drafts, n = all.findIndex((f) => f.id === desk.draft), turned = [...all.slice(n + 1), ...all.slice(0, n + 1)], to = turned.find((f) => f.state === "pencil");
  if (to) take(to.id); else desk.say("No draft is pencil any more.");
}

function pressed(e: KeyboardEvent): void {
  if (e.defaultPrevented || document.querySelector("dialog[open]")) return;
  if (e.key === "Escape") {
    if (desk.form) desk.close();
    else if (desk.panel !== "report") { desk.show("report"); soon(() => document.getElementById(`t-${desk.draft}`)?.focus()); }
    return;
  }
  if (!desk.keys || e.ctrlKey || e.metaKey || e.altKey || off(e)) return;
  const at = e.target as HTMLElement, key = e.key.toLowerCase();
  const act = (what: () => void) => { e.preventDefault(); what(); };
  if (key === " ") {
    if (!at.closest("button, a, input, summary") || at.matches(".draft h4 button, .time")) act(() => desk.player.toggle(desk));
    return;
  }
  if (at.closest("form") && !["?", "/"].includes(key)) return;
  if (key === "j" || key === "k") return act(() => move(key === "j" ? 1 : -1));
  const own = desk.inList && row()?.querySelector<HTMLElement>(`[data-key="${CSS.escape(key)}"]`);
  if (own) return act(() => own.click());
  if (key === "n") return act(next);
  if (key === "u") return act(() => void desk.undo());
  if (key === "?") return act(() => (document.getElementById("keys") as HTMLDialogElement).showModal());
  if (key === "/") return act(() => show("find"));
  if (key === "h") return act(() => show("history"));
  if (key === "d") return act(() => show("twice"));
  if (key === "v") return act(() => { desk.wide = !desk.wide; desk.show("report"); });
  if (key === "0") return act(() => show("report"));
  const count = COUNTED[Number(key) - 1];
  if (count) return act(() => show(count[0]));
  if (key === "l") return act(() => { if (desk.panel !== "loose") show("loose"); else { desk.inList = true; move(1); } });
  if (desk.inList) return;
  const forms = { r: "reword", s: "standing", p: "place", m: "merge", b: "split", x: "aside" } as const;
  if (key === "a") return act(acts.accept);
  if (key in forms) act(() => acts.form(forms[key as keyof typeof forms]));
}

export function useKeys(): void {
  useEffect(() => { addEventListener("keydown", pressed); return () => removeEventListener("keydown", pressed); }, []);
}

export function AllKeys() {
  const at = useRef<HTMLDialogElement>(null);
  return (
    <dialog id="keys" ref={at} aria-labelledby="h-keys">
      <h2 id="h-keys">All keys</h2>
      <dl>{[...KEYS, ...MORE].map(([key, says]) => <div key={key + says}><dt><kbd>{key}</kbd></dt><dd>{says}</dd></div>)}</dl>
      <p><label class="pick"><input type="checkbox" checked={desk.keys} onChange={(e) => { desk.keys = e.currentTarget.checked; void db.keepSetting("desk keys", desk.keys); desk.changed(); }} />single letters work as keys</label></p>
      <p class="ends"><button class="do" onClick={() => at.current?.close()}>Back <kbd aria-hidden="true">Esc</kbd></button></p>
    </dialog>
  );
}

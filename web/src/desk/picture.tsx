// A picture, large, with marks as lines over it; the picture itself is not touched. A point is set by a click, or by
// arrows and Enter. A line beside a marker card tells its length (look.measure, by the server).

import { useEffect, useRef, useState } from "preact/hooks";
import { ask } from "../lib/sync";
import type { Fields } from "../lib/types";
import { asked, desk } from "./desk";
import { Kbd, file } from "./parts";
import { cap, hour, plain } from "./record";
import type { Box, Mark, Photo, PlateField } from "./record";

type Shape = "ring" | "arrow" | "line" | "point" | "hide";
const SHAPES: [Shape, string, string][] = [["ring", "Ring", "middle, then rim"], ["arrow", "Arrow", "tail, then tip"], ["line", "Line, with its length", "one end, then the other"], ["point", "Words at a point", "the point"], ["hide", "Hide a part", "two corners; the report blurs it, the picture stays"]];
const NEEDS: Record<string, number> = { ring: 2, arrow: 2, line: 2, point: 1, box: 2, hide: 2 };
type XY = [number, number];
interface Length { inches: number; doubt_in: number; says: string; note: string }

export function Drawn({ m, w, h }: { m: Mark; w: number; h: number }) {
  const p = m.points.map(([x, y]) => [x * w, y * h] as XY), a = p[0]!, b = p[1] ?? a, says = [m.label, m.length].filter(Boolean).join(", ");
  const long = Math.hypot(b[0] - a[0], b[1] - a[1]) || 1, u = [(b[0] - a[0]) / long, (b[1] - a[1]) / long] as XY, k = Math.max(8, w / 60);
  const path = m.shape === "ring" ? `M${a[0] - long},${a[1]}a${long},${long} 0 1 0 ${2 * long},0a${long},${long} 0 1 0 ${-2 * long},0`
    : m.shape === "box" ? `M${a[0]},${a[1]}H${b[0]}V${b[1]}H${a[0]}z`
      : m.shape === "point" ? `M${a[0] - k / 2},${a[1]}h${k}M${a[0]},${a[1] - k / 2}v${k}`
        : `M${a[0]},${a[1]}L${b[0]},${b[1]}${m.shape === "arrow" ? `M${b[0] - u[0] * k - u[1] * k * 0.6},${b[1] - u[1] * k + u[0] * k * 0.6}L${b[0]},${b[1]}L${b[0] - u[0] * k + u[1] * k * 0.6},${b[1] - u[1] * k - u[0] * k * 0.6}` : `M${a[0] - u[1] * k * 0.5},${a[1] + u[0] * k * 0.5}l${u[1] * k},${-u[0] * k}M${b[0] - u[1] * k * 0.5},${b[1] + u[0] * k * 0.5}l${u[1] * k},${-u[0] * k}`}`;
  return <g><path class="case" d={path} /><path class="ink" d={path} />{says && <text x={Math.min(b[0] + k / 2, w * 0.8)} y={Math.max(b[1] - k / 2, w / 40)} font-size={w / 42}>{says}</text>}</g>;
}

/** What was read off a plate. What is doubtful is confirmed, or put right, and then stands as a reading of its own. */
function Plate({ p }: { p: Photo }) {
  if (!p.plate.length) return null;
  const keep = (f: PlateField, said: string) => {
    const value = Number(said);
    if (said.trim() === "" || !Number.isFinite(value)) { desk.say("Write the value as a number."); return; }
    void desk.add("reading", { quantity: f.quantity, value, ...(f.unit ? { unit: f.unit } : {}), component: plain(f.of), place: p.place, instrument: "data plate", note: `read off ${p.file} at the desk` }, `Kept: ${plain(f.field)} ${said}`, [p.id]);
  };
  return (
    <section class="plate" aria-label="Read off the plate">
      <h3>Read off the plate</h3>
      <ul>{p.plate.map((f) => (
        <li key={f.field}><b>{cap(plain(f.field))}</b> {f.value} {f.unit} <small>{f.used ? "used" : `reads “${f.reads}”, ${Math.round(f.sure * 100)} in 100 sure${f.doubt ? `; ${f.doubt}` : ""}`}</small>
          {asked(p, f) && <form class="row" onSubmit={(e) => { e.preventDefault(); keep(f, String(new FormData(e.currentTarget).get("value"))); }}><label>As you read it<input name="value" inputMode="decimal" autocomplete="off" defaultValue={String(f.value)} /></label><button class="do" type="submit">Keep</button></form>}
        </li>
      ))}</ul>
    </section>
  );
}

function Drawing({ p, close }: { p: Photo; close: () => void }) {
  const [tool, pick] = useState<Shape>("ring"), [points, set] = useState<XY[]>([]), [at, move] = useState<XY | undefined>(), [label, word] = useState(""), [length, tell] = useState<Length | string>("");
  const [size, sized] = useState<XY>([p.width || 1200, p.height || 900]), box = useRef<HTMLDivElement>(null);
  const waits = desk.waits(p.id), { boxes: hidden, open: maybe } = desk.hidden(p);
  const needs = NEEDS[tool]!, whole = points.length >= needs, [w, h] = size;
  const put = (xy: XY) => {
    const all = points.length >= needs ? [xy] : [...points, xy];
    set(all);
    tell("");
    if (all.length === needs && tool === "line") void measure(all);
    desk.say(all.length < needs ? "First point set" : "Mark drawn; write words and keep it");
  };
  const measure = async (all: XY[]) => {
    tell("The length is being looked for");
    try {
      tell((await (await ask(`visits/${desk.visit}/measure`, { method: "POST", headers: { "content-type": "application/json" }, body: JSON.stringify({ photo: p.file, from: all[0], to: all[1] }) })).json()) as Length);
    } catch (err) { tell(`No length: ${err instanceof Error ? err.message : String(err)}`); }
  };
  const spot = (e: MouseEvent): XY => { const b = box.current!.getBoundingClientRect(); return [round((e.clientX - b.left) / b.width), round((e.clientY - b.top) / b.height)]; };
  const keys = (e: KeyboardEvent) => {
    const step = e.shiftKey ? 0.05 : 0.01, to = { ArrowLeft: [-step, 0], ArrowRight: [step, 0], ArrowUp: [0, -step], ArrowDown: [0, step] }[e.key], now = at ?? [0.5, 0.5];
    if (to) { e.preventDefault(); move([round(now[0] + to[0]!), round(now[1] + to[1]!)]); }
    if (e.key === "Enter" || e.key === " ") { e.preventDefault(); put(now); if (!at) move(now); }
  };
  const settle = (yes: boolean) => {
    const [first, ...rest] = maybe;
    if (first) void desk.hide(p, yes ? [...hidden, first] : hidden, rest, yes ? "Hidden in the report" : "Left as it is");
  };
  useEffect(() => {
    const on = (e: KeyboardEvent) => {
      if (!maybe.length || !desk.keys || e.ctrlKey || e.metaKey || e.altKey || (e.target as HTMLElement).matches("input:not([type=radio])")) return;
      if (e.key === "y" || e.key === "x") { e.preventDefault(); settle(e.key === "y"); }
    };
    addEventListener("keydown", on);
    return () => removeEventListener("keydown", on);
  });
  const keep = async () => {
    const drawn = points, words = label;
    set([]); // at once, so that a second press keeps nothing twice; what could not be kept comes back
    if (tool === "hide") {
      if (!(await desk.hide(p, [...hidden, boxOf(drawn)], maybe, "Hidden in the report"))) set(drawn);
      return;
    }
    const told = typeof length === "object" ? { value: Number(length.inches.toFixed(3)), unit: "in", uncertainty: Number((length.doubt_in / 2).toFixed(4)) } : undefined;
    const finding = p.findings.includes(desk.draft) ? desk.draft : "";
    const fields: Fields = { photo: p.id, shape: tool, points, label: label.trim(), ...(told ? { length: told } : {}), ...(finding ? { finding } : {}), was: p.caption };
    word("");
    tell("");
    if (!(await desk.add("mark", fields, "Mark kept", [p.id]))) { set(drawn); word(words); tell(length); }
  };
  const draft: Mark = { shape: tool === "hide" ? "box" : tool, points, label, length: typeof length === "object" ? length.says : "" };
  return (
    <>
      <header><h2 id="h-picture">{cap(p.caption)}</h2><span>{p.seconds !== null && hour(desk.started, p.seconds)} {cap(p.place)}</span><button class="plain" onClick={close}>Back <Kbd>Esc</Kbd></button></header>
      <div class={`canvas ${waits ? "waits" : ""}`} ref={box} tabIndex={0} role="application" aria-label={`Picture: ${p.caption}. Arrows move the cross, Shift moves it further, Enter sets a point`} onClick={(e) => put(spot(e))} onKeyDown={keys}>
        <img src={file(p.file, 1600)} alt="" onLoad={(e) => sized([e.currentTarget.naturalWidth, e.currentTarget.naturalHeight])} />
        <svg viewBox={`0 0 ${w} ${h}`} aria-hidden="true">
          {hidden.map(([l, t, bw, bh], n) => <rect key={n} class="hidden" x={l * w} y={t * h} width={bw * w} height={bh * h} />)}
          {maybe.map(([l, t, bw, bh], n) => ["under", n ? "maybe" : "maybe on"].map((c) => <rect key={`${n} ${c}`} class={c} x={l * w} y={t * h} width={bw * w} height={bh * h} />))}
          {p.marks.map((m, n) => <Drawn key={n} m={m} w={w} h={h} />)}
          {whole ? <Drawn m={draft} w={w} h={h} /> : points.map(([x, y], n) => <circle key={n} class="first" cx={x * w} cy={y * h} r={w / 120} />)}
          {at && <path class="cross" d={`M${at[0] * w - w / 50},${at[1] * h}h${w / 25}M${at[0] * w},${at[1] * h - w / 50}v${w / 25}`} />}
        </svg>
        {maybe[0] && <p class="ask" style={beside(maybe[0])} onClick={(e) => e.stopPropagation()} onKeyDown={(e) => e.stopPropagation()}><button class="do" onClick={() => settle(true)}>Hide it <Kbd>Y</Kbd></button><button onClick={() => settle(false)}>Leave it <Kbd>X</Kbd></button></p>}
      </div>
      <div class="tools">
      {desk.trouble && <p class="trouble" role="alert">{desk.trouble}</p>}
      <form onSubmit={(e) => { e.preventDefault(); if (whole) void keep(); else desk.say("Set the points first."); }}>
        <fieldset><legend>Mark</legend>{SHAPES.map(([k, says]) => <label key={k} class="pick"><input type="radio" name="shape" checked={tool === k} onChange={() => { pick(k); set([]); tell(""); }} />{says}</label>)}</fieldset>
        <p class="quiet">{SHAPES.find(([k]) => k === tool)![2]}</p>
        {tool !== "hide" && <label>Words, four at most<input value={label} autocomplete="off" maxLength={40} onInput={(e) => word(e.currentTarget.value)} /></label>}
        {length && <p role="status">{typeof length === "object" ? `${length.says}. ${cap(length.note)}.` : length}</p>}
        <p class="ends"><button class="do" type="submit" disabled={!whole}>{tool === "hide" ? "Hide it in the report" : "Keep the mark"}</button></p>
        {maybe.length > 0 && <p role="status">{maybe.length === 1 ? "Perhaps a paper or a screen, in the dashed box." : `Perhaps papers or screens, in ${maybe.length} dashed boxes; the thick one is asked.`} Nothing is hidden until you say so: <Kbd>Y</Kbd> hide it, <Kbd>X</Kbd> leave it.</p>}
        {hidden.length > 0 && <p>{hidden.length === 1 ? "One part is" : `${hidden.length} parts are`} hidden in the report. <button type="button" class="plain" onClick={() => void desk.hide(p, [], maybe, "Shown again")}>Show all again</button></p>}
        {p.marks.length > 0 && <ul>{p.marks.map((m, n) => <li key={n}>{cap(m.shape)}{m.label && `: ${m.label}`}{m.length && `, ${m.length}`}</li>)}</ul>}
        {p.marks.length > 0 && <p class="quiet">A mark is taken back with U, or under What was decided (H).</p>}
      </form>
      <Plate p={p} />
      </div>
    </>
  );
}
/** Under a box, or over it where it reaches down to the edge; from its left, or from its right where it stands at the right. */
const beside = ([l, t, w, h]: Box) => ({ ...(t + h < 0.86 ? { top: `${(t + h) * 100}%` } : t > 0.14 ? { bottom: `${(1 - t) * 100}%` } : { bottom: "0" }), ...(l < 0.6 ? { left: `${l * 100}%` } : { right: `${Math.max(0, 1 - l - w) * 100}%` }) });
const boxOf = ([a, b]: XY[]): Box => [Math.min(a![0], b![0]), Math.min(a![1], b![1]), round(Math.abs(a![0] - b![0])), round(Math.abs(a![1] - b![1]))];
const round = (n: number) => Number(Math.max(0, Math.min(1, n)).toFixed(4));

export function Picture() {
  const at = useRef<HTMLDialogElement>(null), p = desk.rec?.photos.find((x) => x.id === desk.picture);
  useEffect(() => { if (p && !at.current?.open) at.current?.showModal(); if (!p) at.current?.close(); }, [p?.id]);
  const close = () => { desk.picture = ""; desk.changed(); };
  return <dialog class="picture" ref={at} aria-labelledby="h-picture" onClose={close} onKeyDown={(e) => { if (e.key === "u" && !(e.target as HTMLElement).matches("input")) void desk.undo(); }}>{p && <Drawing key={p.id} p={p} close={close} />}</dialog>;
}

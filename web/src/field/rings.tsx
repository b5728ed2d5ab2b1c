// The house as found: open rings, what was changed, the pair of pictures; and the cards before going in.

import { useState } from "preact/hooks";
import { due } from "../lib/fold";
import type { Loop } from "../lib/fold";
import type { Gate, Place, Thing } from "../lib/types";
import { app } from "./app";
import { Camera, Dock, Head, Hold, Icon, Loops, Rows, State, Talk, clock, minutes, useClock } from "./parts";

export function Rings() {
  const open = app.rings, closed = app.folded.loops.filter((l) => l.closed), now = useClock();
  const pairs = closed.filter((l) => new Set(l.photos.map((p) => p.role)).size > 1).length;
  return (
    <>
      <main class="top"><Head>{open.length} to put back</Head><State />
        <ul class="rings">
          {open.map((l) => (
            <li key={l.id} class={due(l) <= now ? "due" : ""}>
              <Icon of="ring" />
              <div><b>{up(l.thing)}</b><span>{[l.place, `since ${clock(l.at)}`].filter(Boolean).join(", ")}</span>{l.text && <span class="was">{l.text}</span>}
                {l.again_s !== null && <span class="was">{due(l) > now ? `Look in ${minutes(due(l) - now)}` : `${minutes(due(l) - now)} over`}</span>}</div>
              <Hold class="pb" label={`Hold when put back: ${l.thing}`} act={() => void app.putBack(l)}>Hold when put back</Hold>
            </li>
          ))}
        </ul>
        {closed.length > 0 && <p class="closed"><Icon of="ringed" /><span><b>{closed.length} put back</b> {pairs} with two pictures</span></p>}
        <p class="pad">{open.length ? "The visit can end when every ring is closed." : "Nothing is open."}</p>
      </main>
      <footer class="dock"><div class="keys one"><button class="key" onClick={() => app.go({ at: "changed" })}>I changed something</button></div><Loops /><Talk says="Say what you changed" /></footer>
    </>
  );
}

export function Changed() {
  const put = async (t: Thing) => {
    const from = app.screen;
    const kept = await app.add("open", app.here({ thing: t.name, text: up(t.back), ...(t.again_s ? { again_s: t.again_s } : {}) }), true);
    const loop = kept && app.folded.loops.find((l) => l.id === kept.event.id);
    if (loop) app.go({ at: "picture", loop, role: "as_found" }, from);
  };
  return (
    <><main class="top"><Head under={app.folded.place}>What did you change?</Head>
      <Rows rows={(app.kit?.things ?? []).map((t) => ({ text: up(t.name), more: t.again_s ? `Asked again after ${Math.round(t.again_s / 60)} min` : "", act: () => void put(t) }))} />
    </main><footer class="dock"><Loops /><Talk says="Or say it" /></footer></>
  );
}

/** As found or as left: the second picture is asked for beside the first. */
export function Picture({ loop, role }: { loop: Loop; role: "as_found" | "as_left" }) {
  const found = role === "as_found";
  const take = async (file: File) => { const from = app.screen; if (await app.photo(file, { loop: loop.id, role })) app.go({ at: found ? "walk" : "loops" }, from); };
  return (
    <>
      <main class="top"><Head under={[loop.thing, loop.place].filter(Boolean).join(", ")}>{found ? "As found" : "As left"}</Head><State />
        <div class="closed"><Icon of={found ? "ring" : "ringed"} /><span><b>{found ? "To be put back" : "Put back"}</b> {loop.text}</span></div>
        <p class="pad">{found ? "Take a picture of it as it was, or as it is now. The second one is asked for when you put it back." : loop.photos.length ? "Take the second picture, from the same spot." : "There is no picture of it as found. Take one as left."}</p>
      </main>
      <footer class="dock">
        {app.undoable && <button class="todo undo" onClick={() => void app.undo().then(() => app.go({ at: "loops" }))}><b>Undo</b><span>{found ? "It was not changed" : "It is not put back"}</span></button>}
        <Loops />
        <div class="two"><button class="big plain" onClick={() => app.go({ at: found ? "walk" : "loops" })}>No picture</button><Camera class="big" take={(f) => void take(f)}><Icon of="photo" />Picture</Camera></div>
      </footer>
    </>
  );
}

export function Gates() {
  return (
    <><main class="top"><Head>Before you go</Head>
      <Rows rows={(app.kit?.gates ?? []).map((gate) => ({ text: up(gate.name.replace(/^the /, "")), act: () => app.go({ at: "gate", gate, ...(toOf(gate) ? { to: toOf(gate)! } : {}) }) }))} />
    </main><Dock /></>
  );
}
const toOf = (gate: Gate): Place | undefined => gate.gate === "ladder" || gate.gate === "panel" ? undefined : app.visit?.house?.places.find((p) => gate.levels.includes(p.level));

/** Go or no-go. Nothing here says that going in is all right; whether to go is the inspector's to decide. */
export function GateCard({ gate, to }: { gate: Gate; to?: Place | undefined }) {
  const own = [
    ["Someone knows", `Tell them: ${gate.name}, out by ${clock(Date.now() + gate.minutes * 60_000)}`],
    ["Way out", up(gate.out)],
    ["Looked first", up(gate.asks.join(", "))],
    ["Dressed", "Mask, gloves, eyes, knees, head"],
  ] as const;
  const [done, set] = useState<Set<string>>(new Set()), [why, setWhy] = useState(false);
  const flip = (k: string) => { const next = new Set(done); if (!next.delete(k)) next.add(k); set(next); };
  const missing = own.length - done.size, answers = Object.fromEntries(own.map(([k]) => [k, done.has(k)]));
  if (why) {
    return (
      <><main class="top"><Head under={up(gate.name)}>Why not?</Head>
        <Rows rows={[...gate.stays.map((s) => ({ text: up(s), act: () => void app.pass(gate, false, answers, s) })), { text: "I decide to stay out", more: "No other reason is needed", act: () => void app.pass(gate, false, answers, "the inspector decided to stay out") }]} />
      </main><Dock /></>
    );
  }
  return (
    <>
      <main class="top"><Head under="Whether to go is yours to decide">{({ roof: "Before you go up", ladder: "Before the ladder", attic: "Before you go in", crawl_space: "Before you go under", panel: "Before the cover comes off" } as Record<string, string>)[gate.gate] ?? "Before you go"}</Head>
        <Rows rows={own.map(([text, more]) => ({ text, more, on: done.has(text), act: () => flip(text) }))} />
        <details class="pad"><summary>Reasons to stay out</summary><ul>{gate.stays.map((s) => <li>{up(s)}</li>)}</ul></details>
      </main>
      <footer class="dock"><Loops /><div class="two"><button class="big plain" onClick={() => setWhy(true)}>Not going in</button>
        <button class="big" disabled={missing > 0} onClick={() => void app.pass(gate, true, answers, "", to)}>{missing ? `${missing} left` : "Going in"}</button></div></footer>
    </>
  );
}
const up = (text: string) => text.charAt(0).toUpperCase() + text.slice(1);

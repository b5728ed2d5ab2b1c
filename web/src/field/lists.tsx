// Choosing the place, what cannot be seen, what was seen, what is left, what to come back to.

import { useState } from "preact/hooks";
import type { Todo } from "../lib/types";
import { SECOND, app } from "./app";
import { Dock, Head, Hold, Loops, Rows, State, Talk, clock, things } from "./parts";
import { Where, low, short } from "./walk";

export function PlaceIn({ level }: { level?: string | undefined }) {
  const house = app.visit?.house, [typed, set] = useState("");
  if (!house) {
    return (
      <><main class="top"><Head>Where are you?</Head><State />
        <form class="ask" onSubmit={(e) => { e.preventDefault(); if (typed.trim()) void app.to({ level: "", id: "", place: typed.trim(), key: typed.trim() }); }}>
          <label for="place">The house’s places come with the first sync. Until then, type it or say it.</label>
          <input id="place" value={typed} onInput={(e) => set(e.currentTarget.value)} /><button class="big" disabled={!typed.trim()}>Keep</button>
        </form></main><Dock /></>
    );
  }
  const band = house.bands.find((b) => b.level === level);
  if (!band) {
    return (
      <><main class="top"><Head under={app.folded.place}>Where are you?</Head><div class="where"><Where /></div>
        <Rows rows={house.bands.map((b) => ({ text: b.name, more: left(app.gaps().filter((t) => t.level === b.level).length), act: () => {
          const inside = house.places.filter((p) => p.level === b.level);
          if (inside.length === 1 && inside[0]) void app.to(inside[0]); else app.go({ at: "place", level: b.level });
        } }))} /></main><footer class="dock"><Loops /><Talk says="Or say where you are" /></footer></>
    );
  }
  return (
    <><main class="top"><Head under={band.name}>Where are you?</Head>
      <Rows rows={house.places.filter((p) => p.level === level).map((p) => ({ text: up(p.place), more: left(app.todo(p).length), act: () => void app.to(p) }))} />
    </main><footer class="dock"><Loops /><Talk says="Or say where you are" /></footer></>
  );
}
const left = (n: number) => (n ? `${n} still to see` : "");
const up = (text: string) => text.charAt(0).toUpperCase() + text.slice(1);
const bare = (t: Todo) => up(short(t.says));

export function Unseen({ of }: { of?: string | undefined }) {
  const place = app.folded.place;
  if (of === undefined) {
    const parts = app.todo();
    return (
      <><main class="top"><Head under={place || "No place said yet"}>What can’t you see?</Head>
        <Rows rows={[{ text: place ? `All of it: ${place}` : "All of it", act: () => app.go({ at: "unseen", of: place || "this place" }) },
          { text: "A part of it", more: "Say which part as you hold to talk", act: () => app.go({ at: "unseen", of: `part of ${place || "this place"}` }) },
          ...parts.map((t) => ({ text: bare(t), act: () => app.go({ at: "unseen", of: bare(t) }) }))]} />
      </main><footer class="dock"><Loops /><Talk says="Say what and why" /></footer></>
    );
  }
  const keep = async (why: string) => {
    const from = app.screen;
    if (await app.add("limit", app.here({ text: of, why }), true)) { app.say(`Kept: could not see ${of}`); app.go({ at: "walk" }, from); }
  };
  return (
    <><main class="top"><Head under={of}>Why not?</Head>
      <Rows rows={(app.kit?.reasons ?? [{ id: "other", says: "I will say why" }]).map((r) => ({ text: r.says, act: () => void keep(r.says) }))} />
    </main><footer class="dock"><Loops /><Talk says="Say why" /></footer></>
  );
}

/** A sweep: all fine, except. */
export function Seen({ house = false }: { house?: boolean | undefined }) {
  const todo = house ? app.ofHouse() : app.todo(), more = house ? 0 : app.ofHouse().length, [not, set] = useState<Set<string>>(new Set()), place = app.folded.place;
  const flip = (s: string) => { const next = new Set(not); if (!next.delete(s)) next.add(s); set(next); };
  const seen = todo.filter((t) => !not.has(t.subject));
  const keep = async () => {
    const from = app.screen;
    const skipped = todo.filter((t) => not.has(t.subject)).map(bare);
    for (const t of seen) {
      const kept = await app.add("tick", { subject: t.subject, state: "done", note: bare(t).replace(/^Say what kind: /, "What kind of "), ...(skipped.length ? { except: skipped } : {}) });
      if (!kept) return;
    }
    app.say(`Seen${house ? "" : " here"}: ${seen.length}${skipped.length ? `, all but ${skipped.map(low).join(", ")}` : ""}`);
    app.go({ at: "walk" }, from);
  };
  return (
    <><main class="top"><Head under={house ? "Of the whole house" : place || "Say where you are first"}>{house ? "Seen" : "Seen here"}</Head><State />
      <p class="pad">{todo.length ? "A tap takes one out." : house || place ? "Nothing is left on this list. What you say counts too." : "What is asked for depends on where you are."}</p>
      <Rows rows={todo.map((t) => ({ text: bare(t), on: !not.has(t.subject), act: () => flip(t.subject) }))} />
      <Rows rows={[...(house || place ? [] : [{ text: "Where are you?", act: () => app.go({ at: "place" }) }]), ...(more ? [{ text: `Of the whole house: ${more}`, more: "What belongs to no one place", act: () => app.go({ at: "seen", house: true }) }] : [])]} />
    </main>
    <footer class="dock"><Loops />{todo.length ? <div class="two"><Talk small /><button class="big" disabled={!seen.length} onClick={() => void keep()}>{not.size ? `${seen.length} seen` : `All ${seen.length} seen`}</button></div> : <Talk />}</footer></>
  );
}

/** What is left before leaving, in walking order. */
export function Gaps() {
  const gaps = app.gaps(), by = new Map<string, Todo[]>();
  for (const t of gaps) by.set(t.place || t.level || "the house", [...(by.get(t.place || t.level || "the house") ?? []), t]);
  const place = (name: string) => app.visit?.house?.places.find((p) => [p.place, p.key, p.level].includes(name));
  return (
    <><main class="top"><Head under="In walking order">{gaps.length} still to see</Head><State />
      {!app.visit?.house && <p class="pad">The list comes with the first sync.</p>}
      <Rows rows={[...by].map(([name, some]) => ({ text: `${up(name)}: ${some.length}`, more: up(some.slice(0, 4).map((t) => short(t.says)).join(", ")) + (some.length > 4 ? ` and ${some.length - 4} more` : ""),
        act: () => { const p = place(name); if (p) void app.to(p); else app.go({ at: "seen", house: true }); } }))} />
      <p class="pad">What you said counts once the server has heard it.</p>
    </main><Dock /></>
  );
}

export function Holds() {
  const holds = [...app.folded.holds].reverse();
  return (
    <><main class="top"><Head>To come back to</Head>
      {!holds.length && <p class="pad">Nothing. The key “Come back” keeps the place and what runs when somebody asks you away.</p>}
      <ul class="plainrows">{holds.map((h) => <li key={h.id}><div><b>{up(h.place || "no place")}</b><span>{clock(h.at)}. {h.text}</span></div><button class="side" onClick={() => void app.add("undo", { event: h.id })}>Been back</button></li>)}</ul>
    </main><Dock /></>
  );
}

export function More() {
  const second = app.second;
  return (
    <><main class="top"><Head under={app.visit?.name}>More</Head><State />
      <Rows rows={[
        { text: `Still to see: ${app.gaps().length}`, more: "Before leaving, in walking order", act: () => app.go({ at: "gaps" }) },
        { text: `To come back to: ${app.folded.holds.length}`, act: () => app.go({ at: "holds" }) },
        { text: "Before you go up, in or under", more: "Roof, ladder, attic, crawl space, panel", act: () => app.go({ at: "gates" }) },
        { text: second ? "End the second pass outside" : "Second pass outside", more: second ? "" : "Walls on the first, the ground on the second", act: () => void pass(!second) },
        app.settings.light === "dark" ? { text: "Bright, for the sun", act: () => void app.set({ light: "bright" }) } : { text: "Dark, for attic and crawl space", act: () => void app.set({ light: "dark" }) },
        { text: "Type a remark", more: "Where nobody should hear it", act: () => app.go({ at: "type" }) },
        { text: "What is safe where", act: () => app.go({ at: "safe" }) },
        { text: "Hand, light, text", act: () => app.go({ at: "settings" }) },
        { text: "End the visit", act: () => app.go({ at: "end" }) },
        { text: "Another visit", act: () => app.go({ at: "visits" }) },
      ]} />
    </main><Dock /></>
  );
}
async function pass(begin: boolean) {
  if (await app.add("pass", { name: SECOND, state: begin ? "begun" : "ended" }, true)) { app.say(begin ? "Second pass outside" : "Second pass ended"); app.go({ at: "walk" }); }
}

export function Safe() {
  const { phone, server, bytesPhone } = app.safe(), files = app.media.length;
  return (
    <><main class="top"><Head>What is safe where</Head>
      <table class="safe"><tbody>
        <tr><th scope="row">On the server</th><td>{things(server, "entry", "entries")}<br />{things(files - bytesPhone, "file")}</td></tr>
        <tr><th scope="row">Only on this phone</th><td>{things(phone, "entry", "entries")}<br />{things(bytesPhone, "file")}</td></tr>
      </tbody></table>
      <p class="pad">Entries are words, readings, ticks and the like. Files are pictures and seconds of sound. Each was written to this phone and read back before it was shown.</p>
      <p class="pad">{app.online ? "The server is there. Everything goes to it by itself." : "No signal. Nothing is lost: it goes to the server by itself, once there is a network and this page is open."}</p>
      <p class="pad">Do not clear this page’s data or remove the app while anything is only on this phone.</p>
    </main><Dock /></>
  );
}

export function End() {
  const open = app.rings, { phone, bytesPhone } = app.safe(), gaps = app.gaps().length;
  const done = async () => { if (await app.add("pass", { name: "visit", state: "ended" })) { app.say("The visit is ended"); app.go({ at: "safe" }); } };
  return (
    <><main class="top"><Head under={app.visit?.name}>End the visit</Head>
      <Rows rows={[
        { text: `${open.length} to put back`, more: open.map((l) => l.thing).join(", "), act: () => app.go({ at: "loops" }) },
        { text: `${gaps} still to see`, more: gaps ? "In walking order" : "", act: () => app.go({ at: "gaps" }) },
        { text: `${app.folded.holds.length} to come back to`, act: () => app.go({ at: "holds" }) },
        { text: `${phone + bytesPhone} only on this phone`, act: () => app.go({ at: "safe" }) },
      ]} />
      {open.length > 0 && <p class="pad"><b>The visit can end when every ring is closed.</b></p>}
    </main>
    <footer class="dock"><Loops />{open.length ? <Talk /> : <Hold class="big" act={() => void done()}>Hold to end the visit</Hold>}</footer></>
  );
}

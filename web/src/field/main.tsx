// The field screen.

import { render } from "preact";
import { useEffect, useState } from "preact/hooks";
import "../field.css";
import { app } from "./app";
import type { Settings } from "./app";
import { End, Gaps, Holds, More, PlaceIn, Safe, Seen, Unseen } from "./lists";
import { Choose, Reading } from "./reading";
import { Changed, GateCard, Gates, Picture, Rings } from "./rings";
import { Dock, Head, Rows } from "./parts";
import { TypeIt, Walk } from "./walk";

function Visits() {
  const [name, set] = useState(""), here = new Set(app.visits.map((v) => v.id));
  return (
    <main class="top">
      <header class="head"><div><h1 tabIndex={-1}>Kingpost</h1><p>{app.online ? "The server is there" : app.looked ? "No signal" : "Asking the server"}</p></div></header>
      <form class="ask" onSubmit={(e) => { e.preventDefault(); if (name.trim()) void app.make(name.trim()); }}>
        <label for="name">New visit: address or name of the house</label>
        <input id="name" value={name} autocomplete="off" onInput={(e) => set(e.currentTarget.value)} />
        <button class="big" disabled={!name.trim()}>Begin</button>
      </form>
      {app.visits.length > 0 && <h2>On this phone</h2>}
      <Rows rows={app.visits.map((v) => ({ text: v.name || v.id, more: v.there ? "" : "only on this phone", act: () => void app.takeUp(v) }))} />
      {app.elsewhere.some((v) => !here.has(v.id)) && <h2>On the server</h2>}
      <Rows rows={app.elsewhere.filter((v) => !here.has(v.id)).map((v) => ({ text: v.name || v.id, act: () => void app.takeUp(v) }))} />
    </main>
  );
}

function Choices() {
  const { light, hand, text } = app.settings, one = (what: string, on: boolean, change: Partial<Settings>) => ({ text: what, on, one: true, act: () => void app.set(change) });
  return (
    <><main class="top"><Head>Hand, light, text</Head>
      <h2>Light</h2><Rows rows={[one("Bright, for the sun", light === "bright", { light: "bright" }), one("Dark, for attic and crawl space", light === "dark", { light: "dark" })]} />
      <h2>Hand</h2><Rows rows={[one("Right hand", hand === "right", { hand: "right" }), one("Left hand", hand === "left", { hand: "left" })]} />
      <h2>Text</h2><Rows rows={[one("Usual", text === 1, { text: 1 }), one("Half as large again", text === 1.5, { text: 1.5 }), one("Twice as large", text === 2, { text: 2 })]} />
    </main><Dock /></>
  );
}

function Shown() {
  const s = app.screen;
  switch (s.at) {
    case "visits": return <Visits />;
    case "walk": return <Walk />;
    case "place": return <PlaceIn level={s.level} />;
    case "reading": return s.of ? <Reading of={s.of} /> : <Choose />;
    case "unseen": return <Unseen of={s.of} />;
    case "seen": return <Seen key={s.house ? "house" : "here"} house={s.house} />;
    case "loops": return <Rings />;
    case "changed": return <Changed />;
    case "picture": return <Picture loop={s.loop} role={s.role} />;
    case "gates": return <Gates />;
    case "gate": return <GateCard gate={s.gate} to={s.to} />;
    case "gaps": return <Gaps />;
    case "holds": return <Holds />;
    case "more": return <More />;
    case "safe": return <Safe />;
    case "settings": return <Choices />;
    case "type": return <TypeIt />;
    case "end": return <End />;
  }
}

function Field() {
  const [, again] = useState(0), { light, hand, text } = app.settings;
  useEffect(() => { app.changed = () => again((n) => n + 1); void app.begin(); }, []);
  useEffect(() => {
    Object.assign(document.documentElement.dataset, { light, hand, text: String(text) });
    document.documentElement.style.setProperty("--text", String(text));
    document.querySelector('meta[name="theme-color"]')?.setAttribute("content", light === "dark" ? "#0b141d" : "#ffffff");
  }, [light, hand, text]);
  return <div class="screen"><Shown /></div>;
}

render(<Field />, document.getElementById("app")!);
if ("serviceWorker" in navigator && import.meta.env.PROD) addEventListener("load", () => void navigator.serviceWorker.register("/sw.js"));

// Python in a worker: the package's own measure, trade and judge (kingpost.desk.kit packs them), nothing written twice.

interface Python { runPython(code: string): unknown; globals: { get(name: string): (asked: string) => string }; unpackArchive(bytes: ArrayBuffer, form: string, to: { extractDir: string }): void }
declare const self: { onmessage: ((m: MessageEvent<{ n: number; asked: string }>) => void) | null; postMessage(message: unknown): void };

const GLUE = `
import json, sys
sys.path.insert(0, "/kingpost")
from kingpost.judge import typed
from kingpost.tell import held, rule
from kingpost.visit.record import plain
def answer(asked):
    given = json.loads(asked)
    found = typed.checks_of(given["readings"], given["facts"])
    said = {"checks": [plain(c) for c in found]}
    scale = held.on_rule(found[0]) if found else None
    said["rule"] = {theme: rule.draw(scale, theme).svg for theme in ("light", "dark")} if scale else None
    return json.dumps(said)
typed.warm()
`;

/** The package's own files: the server's newest, else those kept from the last time. */
async function core(): Promise<ArrayBuffer> {
  const held = await caches.open("kingpost-core");
  try {
    const fresh = await fetch("/core.zip", { cache: "no-cache", signal: AbortSignal.timeout(20_000) });
    if (!fresh.ok) throw new Error(`core.zip: ${fresh.status}`);
    await held.put("/core.zip", fresh.clone());
    return await fresh.arrayBuffer();
  } catch (err) {
    const kept = await held.match("/core.zip");
    if (!kept) throw err;
    return kept.arrayBuffer();
  }
}

const ready: Promise<(asked: string) => string> = (async () => {
  const home = new URL("/py/", location.href).href;
  const { loadPyodide } = (await import(/* @vite-ignore */ `${home}pyodide.mjs`)) as { loadPyodide(o: { indexURL: string }): Promise<Python> };
  const [python, packed] = await Promise.all([loadPyodide({ indexURL: home }), core()]);
  python.unpackArchive(packed, "zip", { extractDir: "/kingpost" });
  python.runPython(GLUE);
  return python.globals.get("answer");
})();

ready.then(() => self.postMessage({ state: "ready" }), (err: unknown) => self.postMessage({ state: "none", trouble: String(err) }));
self.onmessage = async ({ data }) => {
  try {
    self.postMessage({ n: data.n, answer: (await ready)(data.asked) });
  } catch (err) {
    self.postMessage({ n: data.n, trouble: String(err) });
  }
};
export {};

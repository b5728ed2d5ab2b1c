// npm run build: the app into src/kingpost/desk/web, with fonts, Python for the page, the service worker, and a digest of
// what it was built from (tests/web/test_fresh.py compares it, so that no test needs Node).

import { createHash } from "node:crypto";
import { cpSync, mkdirSync, readFileSync, readdirSync, statSync, writeFileSync } from "node:fs";
import { join, relative } from "node:path";
import { build } from "vite";
import { generateSW } from "workbox-build";

const OUT = "../src/kingpost/desk/web";
const PYTHON = ["pyodide.mjs", "pyodide.asm.mjs", "pyodide.asm.wasm", "python_stdlib.zip", "pyodide-lock.json"];
const SOURCES = ["build.mjs", "vite.config.ts", "tsconfig.json", "package.json", "package-lock.json", "src", "public"];

await build();
mkdirSync(`${OUT}/fonts`, { recursive: true });
for (const font of ["overpass.woff2", "routed.woff2", "literata.woff2"]) cpSync(`../src/kingpost/tell/fonts/${font}`, `${OUT}/fonts/${font}`);
mkdirSync(`${OUT}/py`, { recursive: true });
for (const file of PYTHON) cpSync(`node_modules/pyodide/${file}`, `${OUT}/py/${file}`);

const { warnings } = await generateSW({
  globDirectory: OUT, swDest: `${OUT}/sw.js`, sourcemap: false, mode: "production", inlineWorkboxRuntime: true,
  globPatterns: ["**/*.{html,js,css,woff2,svg,png,webmanifest}", "py/*"], globIgnores: ["sw.js", "desk.*", "fonts/literata.woff2"],
  maximumFileSizeToCacheInBytes: 16 * 1024 * 1024, skipWaiting: true, clientsClaim: true, cleanupOutdatedCaches: true,
  directoryIndex: "index.html", navigateFallback: null, ignoreURLParametersMatching: [/.*/],
});
warnings.forEach((w) => console.warn(w));

function* files(path) {
  if (statSync(path).isDirectory()) for (const name of readdirSync(path).sort()) yield* files(join(path, name));
  else yield path;
}
const pages = readdirSync(".").filter((n) => n.endsWith(".html"));
const all = [...SOURCES, ...pages].flatMap((p) => [...files(p)]).map((p) => relative(".", p)).sort();
const sum = createHash("sha256");
for (const path of all) sum.update(`${path}\n`).update(createHash("sha256").update(readFileSync(path)).digest("hex")).update("\n");
writeFileSync(`${OUT}/built-from.txt`, `${sum.digest("hex")}\n`);

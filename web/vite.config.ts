import { defineConfig } from "vite";

// Three pages: the door, the field, and the desk once it is here. Names carry no digest: the service worker's list does.
import { existsSync } from "node:fs";
const pages = ["index.html", "field.html", "desk.html"].filter((page) => existsSync(page));

export default defineConfig({
  define: { __VERSION__: JSON.stringify("0.1.0") },
  oxc: { jsx: { runtime: "automatic", importSource: "preact" } },
  worker: { format: "es", rollupOptions: { output: { entryFileNames: "[name].js" } } },
  build: {
    outDir: "../src/kingpost/desk/web", emptyOutDir: true, target: "es2022", modulePreload: { polyfill: false },
    rollupOptions: { input: pages, output: { entryFileNames: "[name].js", chunkFileNames: "shared.js", assetFileNames: "[name][extname]" } },
  },
});

// Bundles a file of this folder, as the hub is bundled, and runs it with the arguments of this
// command: built.mjs <file> [arguments].

import { mkdirSync, mkdtempSync, rmSync } from "node:fs";
import { join, resolve } from "node:path";
import { pathToFileURL } from "node:url";
import { build } from "vite";

const folder = import.meta.dirname;
const project = resolve(folder, "../..");
const [entry] = process.argv.splice(2, 1);
mkdirSync(join(project, ".build"), { recursive: true });
// Within the project, so that the bundle finds its packages.
const outDir = mkdtempSync(join(project, ".build", "simulation-"));
process.on("exit", () => rmSync(outDir, { recursive: true, force: true }));
await build({
  configFile: false,
  root: project,
  logLevel: "error",
  build: {
    ssr: join(folder, entry),
    outDir,
    target: "node20",
    rolldownOptions: { output: { entryFileNames: "main.mjs" } },
  },
});
await import(pathToFileURL(join(outDir, "main.mjs")).href);

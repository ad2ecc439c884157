// Runs the benches that are named on the command line, else all of them, one after the other.
// Each is a TypeScript file with a main of its own that prints ratios.

import { readdirSync } from "node:fs";
import { join, resolve } from "node:path";
import { runnerImport } from "vite";

const named = process.argv.slice(2);
const folder = import.meta.dirname;
const all = readdirSync(folder)
  .filter((name) => name.endsWith(".bench.ts"))
  .map((name) => join(folder, name));

for (const file of named.length > 0 ? named : all) {
  console.log(`# ${file}`);
  await runnerImport(resolve(file));
}

// Builds the product, then runs the benches that are named on the command line, else all of them, one
// after the other.
// Each is a TypeScript file with a main of its own that prints ratios. It is bundled first, as the
// app and the hub are, for unbundled modules call each other more slowly.

import { spawnSync } from "node:child_process";
import { mkdirSync, mkdtempSync, readdirSync, rmSync } from "node:fs";
import { basename, join, resolve } from "node:path";
import { pathToFileURL } from "node:url";
import { build } from "vite";

const named = process.argv.slice(2);
const folder = import.meta.dirname;
const projectFolder = resolve(folder, "../..");
const all = readdirSync(folder)
  .filter((name) => name.endsWith(".bench.ts"))
  .map((name) => join(folder, name));

buildProduct();

// Within the project, so that the bundles find its packages.
const buildFolder = join(projectFolder, ".build");
mkdirSync(buildFolder, { recursive: true });
const outDir = mkdtempSync(join(buildFolder, "bench-"));
try {
  for (const file of named.length > 0 ? named : all) {
    console.log(`# ${basename(file)}`);
    await build({
      configFile: false,
      logLevel: "error",
      build: {
        ssr: resolve(file),
        outDir,
        emptyOutDir: false,
        target: "node20",
        rolldownOptions: { output: { entryFileNames: "[name].mjs" } },
      },
    });
    await import(pathToFileURL(join(outDir, basename(file).replace(/\.ts$/, ".mjs"))).href);
  }
} finally {
  rmSync(outDir, { recursive: true });
}

function buildProduct() {
  const built = spawnSync(process.execPath, [".ci/build.mjs"], {
    cwd: projectFolder,
    stdio: ["ignore", "ignore", "inherit"],
  });
  if (built.status !== 0) process.exit(built.status ?? 1);
}

// Bundles check-network.ts, as the hub is bundled, and runs it with the arguments of this command.

import { mkdirSync, mkdtempSync, rmSync } from "node:fs";
import { join, resolve } from "node:path";
import { pathToFileURL } from "node:url";
import { build } from "vite";

const folder = import.meta.dirname;
const project = resolve(folder, "../..");
mkdirSync(join(project, ".build"), { recursive: true });
const outDir = mkdtempSync(join(project, ".build", "check-network-"));
try {
  await build({
    configFile: false,
    root: project,
    logLevel: "error",
    build: {
      ssr: join(folder, "check-network.ts"),
      outDir,
      target: "node20",
      rolldownOptions: { output: { entryFileNames: "check-network.mjs" } },
    },
  });
  await import(pathToFileURL(join(outDir, "check-network.mjs")).href);
} finally {
  rmSync(outDir, { recursive: true });
}

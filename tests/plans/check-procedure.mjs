// Bundles check-procedure.ts, as the hub is bundled, and runs it with the arguments of this command.

import { mkdirSync, mkdtempSync, rmSync } from "node:fs";
import { join, resolve } from "node:path";
import { pathToFileURL } from "node:url";
import { build } from "vite";

const folder = import.meta.dirname;
const project = resolve(folder, "../..");
mkdirSync(join(project, ".build"), { recursive: true });
const outDir = mkdtempSync(join(project, ".build", "check-procedure-"));
try {
  await build({
    configFile: false,
    root: project,
    logLevel: "error",
    build: {
      ssr: join(folder, "check-procedure.ts"),
      outDir,
      target: "node20",
      rolldownOptions: { output: { entryFileNames: "check-procedure.mjs" } },
    },
  });
  await import(pathToFileURL(join(outDir, "check-procedure.mjs")).href);
} finally {
  rmSync(outDir, { recursive: true });
}

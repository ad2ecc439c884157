// Before tests that use the built product: builds it, unless no source is younger than the build.

import { spawnSync } from "node:child_process";
import { existsSync, statSync } from "node:fs";
import { join } from "node:path";
import { listFiles, projectFolder } from "./source-files.ts";

/** Vitest calls this once for a project. */
export function setup(): void {
  if (isBuilt()) return;
  const built = spawnSync(process.execPath, [".ci/build.mjs"], {
    cwd: projectFolder,
    encoding: "utf8",
  });
  if (built.status !== 0) throw new Error(`The build failed.\n${built.stdout}${built.stderr}`);
}

function isBuilt(): boolean {
  const last = join(projectFolder, "dist/hub/main.js");
  if (!existsSync(last)) return false;
  const builtMs = statSync(last).mtimeMs;
  return listFiles()
    .filter((path) =>
      /^(app|workers|machines|\.ci)\/|^(package-lock\.json|vite\.config\.ts)$/.test(path),
    )
    .every((path) => statSync(join(projectFolder, path)).mtimeMs <= builtMs);
}

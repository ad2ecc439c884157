// Settings of a hub for tests: any free port of the loopback interface, an empty data folder.

import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { onTestFinished } from "vitest";
import { readConfig } from "../../../../workers/hub/config.ts";
import type { Config } from "../../../../workers/hub/config.ts";

/** The defaults, but for the port and the folders, which are gone when the test ends. */
export function aConfig(overrides: Partial<Config> = {}): Config {
  const folder = mkdtempSync(join(tmpdir(), "lanehold-start-"));
  onTestFinished(() => rmSync(folder, { recursive: true, force: true }));
  const folders = { dataFolder: join(folder, "data"), appFolder: join(folder, "app") };
  return { ...readConfig(["--port", "0"], {}, "app"), ...folders, ...overrides };
}

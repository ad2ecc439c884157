// Folders and outside tools for the tests of certificates.

import { spawnSync } from "node:child_process";
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { onTestFinished } from "vitest";

/** An empty folder; gone when the test ends. */
export function aFolder(): string {
  const folder = mkdtempSync(join(tmpdir(), "lanehold-tls-"));
  onTestFinished(() => rmSync(folder, { recursive: true, force: true }));
  return folder;
}

/** What the openssl of the machine says, and whether it was content. */
export function openssl(...args: readonly string[]): { isGood: boolean; says: string } {
  const { status, stdout, stderr, error } = spawnSync("openssl", args, { encoding: "utf8" });
  if (error !== undefined) throw error;
  return { isGood: status === 0, says: `${stdout}${stderr}` };
}

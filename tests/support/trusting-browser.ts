// A Chromium whose person has made it trust an authority, in the way in which Debian's keeps that: the
// NSS database of the home folder.

import { spawnSync } from "node:child_process";
import { mkdirSync, mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { chromium } from "playwright-core";
import type { Browser } from "playwright-core";
import { chromiumFlags, chromiumPath } from "./chromium.ts";

/** A browser with a home folder of its own. */
export type BrowserAtHome = { readonly browser: Browser; readonly close: () => Promise<void> };

/**
 * Starts a browser.
 *
 * @param authorityFile what it trusts besides what it comes with; null: nothing
 * @param hosts names that lead to this machine
 */
export async function launchAtHome(
  authorityFile: string | null,
  hosts: readonly string[],
): Promise<BrowserAtHome> {
  const home = mkdtempSync(join(tmpdir(), "lanehold-home-"));
  if (authorityFile !== null) trust(home, authorityFile);
  const rules = hosts.map((host) => `MAP ${host} 127.0.0.1`).join(", ");
  const browser = await chromium.launch({
    executablePath: chromiumPath,
    headless: true,
    args: [...chromiumFlags, `--host-resolver-rules=${rules}`],
    env: { ...process.env, HOME: home },
  });
  return {
    browser,
    async close() {
      await browser.close();
      rmSync(home, { recursive: true, force: true });
    },
  };
}

function trust(home: string, authorityFile: string): void {
  const folder = join(home, ".pki", "nssdb");
  mkdirSync(folder, { recursive: true });
  certutil("-N", "-d", `sql:${folder}`, "--empty-password");
  // "C,,": an authority for servers, and for nothing else.
  certutil("-A", "-d", `sql:${folder}`, "-n", "lanehold", "-t", "C,,", "-i", authorityFile);
}

function certutil(...args: readonly string[]): void {
  const { status, stderr, error } = spawnSync("certutil", args, { encoding: "utf8" });
  if (error !== undefined) throw error;
  if (status !== 0) throw new Error(`certutil ${args.join(" ")}: ${stderr}`);
}

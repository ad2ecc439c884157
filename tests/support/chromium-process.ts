// Chromium as a process group of its own, so that it can be killed as a flat battery would: at once,
// with everything that it has started. A profile outlives it.

import { spawn } from "node:child_process";
import type { ChildProcess } from "node:child_process";
import { once } from "node:events";
import { readFileSync, rmSync, watch } from "node:fs";
import { join } from "node:path";
import { chromium } from "playwright-core";
import type { BrowserContext } from "playwright-core";
import { chromiumFlags, chromiumPath } from "./chromium.ts";

/** A browser that can be killed. */
export type ChromiumProcess = {
  /** What the profile holds is in this one. */
  readonly context: BrowserContext;
  /** Ends every process of it with SIGKILL. Resolves when the browser's own has ended. */
  readonly kill: () => Promise<void>;
};

/**
 * Starts a browser on a profile folder and waits until it can be driven.
 *
 * Errors: an `Error` with what the browser printed, if it ends before.
 */
export async function startChromium(profileFolder: string): Promise<ChromiumProcess> {
  const portFile = join(profileFolder, "DevToolsActivePort");
  // One that was killed leaves its own behind.
  rmSync(portFile, { force: true });
  const child = spawn(
    chromiumPath,
    [
      ...chromiumFlags,
      "--headless=new",
      "--remote-debugging-port=0",
      "--no-default-browser-check",
      "--disable-breakpad",
      "--window-size=1180,820",
      `--user-data-dir=${profileFolder}`,
      "about:blank",
    ],
    { detached: true, stdio: ["ignore", "ignore", "pipe"] },
  );
  const kill = () => killGroup(child);
  // It is no child of a group that a terminal ends.
  const killAtExit = (): void => signalGroup(child);
  process.once("exit", killAtExit);
  child.once("exit", () => process.off("exit", killAtExit));
  try {
    const port = await portOf(child, portFile, profileFolder);
    const browser = await chromium.connectOverCDP(`http://127.0.0.1:${port}`);
    const [context] = browser.contexts();
    if (context === undefined) throw new Error("The browser has no context.");
    return { context, kill };
  } catch (cause) {
    await kill();
    throw cause;
  }
}

// The browser writes the port that it has chosen into a file of its profile.
async function portOf(child: ChildProcess, portFile: string, folder: string): Promise<number> {
  let printed = "";
  child.stderr?.on("data", (chunk: Buffer) => {
    printed = (printed + chunk.toString()).slice(-4_000);
  });
  return new Promise((resolve, reject) => {
    const watcher = watch(folder);
    const look = (): void => {
      const port = readPort(portFile);
      if (port === undefined) return;
      watcher.close();
      resolve(port);
    };
    watcher.on("change", look);
    child.once("exit", (code) => {
      watcher.close();
      reject(new Error(`The browser ended with ${code} before it could be driven.\n${printed}`));
    });
    look();
  });
}

function readPort(portFile: string): number | undefined {
  try {
    const [port, path] = readFileSync(portFile, "utf8").split("\n");
    return path === undefined ? undefined : Number(port);
  } catch {
    return undefined;
  }
}

async function killGroup(child: ChildProcess): Promise<void> {
  if (hasEnded(child)) return;
  const exited = once(child, "exit");
  signalGroup(child);
  await exited;
}

function signalGroup(child: ChildProcess): void {
  if (child.pid !== undefined && !hasEnded(child)) process.kill(-child.pid, "SIGKILL");
}

function hasEnded(child: ChildProcess): boolean {
  return child.pid === undefined || child.exitCode !== null || child.signalCode !== null;
}

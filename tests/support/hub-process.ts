// The real hub as a process of its own, on a free port of the loopback interface.

import { spawn } from "node:child_process";
import type { ChildProcess } from "node:child_process";
import { once } from "node:events";
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { projectFolder } from "./source-files.ts";

/** A hub that runs; `restart` keeps its port and its data. */
export type HubProcess = {
  readonly address: string;
  readonly dataFolder: string;
  /** What it printed when it was started last. */
  readonly printed: () => string;
  readonly pid: () => number;
  /** Ends it as a service manager would. */
  readonly stop: () => Promise<void>;
  /** Ends it at once, with SIGKILL. */
  readonly kill: () => Promise<void>;
  readonly restart: () => Promise<void>;
  /** Runs one of the program's tasks on the hub's data: `task("backup", "monday.backup")`. */
  readonly task: (...args: readonly string[]) => Promise<TaskEnd>;
  /** Stops it if it runs and removes its data. */
  readonly remove: () => Promise<void>;
};

/** How a task ended. */
export type TaskEnd = { readonly code: number | null; readonly printed: string };

/** The hub as it is built; another build may be named in the environment. */
const program = process.env["LANEHOLD_HUB_PROGRAM"] ?? "dist/hub/main.js";

/**
 * Starts a hub with an empty store and waits until it answers.
 *
 * @param settings variables of its environment
 */
export async function startHub(
  settings: Readonly<Record<string, string>> = {},
): Promise<HubProcess> {
  const dataFolder = mkdtempSync(join(tmpdir(), "lanehold-hub-"));
  const first = await spawnHub(settings, dataFolder, 0);
  const { address } = first;
  let { child, printed } = first;
  const port = Number(new URL(address).port);
  const end = async (signal: NodeJS.Signals): Promise<void> => {
    if (child.exitCode !== null || child.signalCode !== null) return;
    const exited = once(child, "exit");
    child.kill(signal);
    await exited;
  };
  return {
    address,
    dataFolder,
    printed: () => printed,
    pid: () => child.pid ?? 0,
    stop: () => end("SIGTERM"),
    kill: () => end("SIGKILL"),
    restart: async () => {
      ({ child, printed } = await spawnHub(settings, dataFolder, port));
    },
    task: (...args) => runTask([...args, "--data", dataFolder]),
    remove: async () => {
      await end("SIGKILL");
      rmSync(dataFolder, { recursive: true, force: true });
    },
  };
}

async function spawnHub(
  settings: Readonly<Record<string, string>>,
  dataFolder: string,
  port: number,
): Promise<{ child: ChildProcess; address: string; printed: string }> {
  const child = spawn(process.execPath, [program], {
    cwd: projectFolder,
    env: { ...process.env, ...settings, LANEHOLD_PORT: String(port), LANEHOLD_DATA: dataFolder },
    stdio: ["ignore", "pipe", "pipe"],
  });
  let printed = "";
  const address = await new Promise<string>((resolve, reject) => {
    const read = (chunk: Buffer): void => {
      printed += chunk.toString();
      const found = /Lanehold is at (https?:\/\/\S+)\n/.exec(printed);
      if (found?.[1] !== undefined) resolve(found[1]);
    };
    child.stdout.on("data", read);
    child.stderr.on("data", read);
    child.once("exit", (code) => {
      reject(new Error(`The hub ended with ${code} before it answered.\n${printed}`));
    });
  });
  return { child, printed, address: address.replace(/\/$/, "") };
}

async function runTask(args: readonly string[]): Promise<TaskEnd> {
  const child = spawn(process.execPath, [program, ...args], {
    cwd: projectFolder,
    stdio: ["ignore", "pipe", "pipe"],
  });
  let printed = "";
  for (const stream of [child.stdout, child.stderr])
    stream.on("data", (chunk: Buffer) => (printed += chunk.toString()));
  await once(child, "close");
  return { code: child.exitCode, printed };
}

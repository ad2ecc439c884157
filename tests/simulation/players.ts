// Child processes that play seeds, each on a core of its own.

import { spawn } from "node:child_process";
import { createInterface } from "node:readline";
import type { SeedReport } from "./play-seeds.ts";

/** Seeds to play: every `by`-th from the first to the last. */
export type SeedsToPlay = {
  readonly from: number;
  readonly to: number;
  readonly by: number;
  readonly options: readonly string[];
};

/**
 * Plays seeds in a child process.
 *
 * @param bundle path of the bundled play-seeds.ts
 * @param tell is given the report of each seed as it comes; a process that ends before its last seed
 *   gives a report with a fault for the seed that it was at
 * Errors: none.
 */
export async function playInChild(
  bundle: string,
  { from, to, by, options }: SeedsToPlay,
  tell: (report: SeedReport) => void,
): Promise<void> {
  const seeds = [`--from=${from}`, `--to=${to}`, `--by=${by}`, ...options];
  const child = spawn(process.execPath, ["--max-semi-space-size=32", bundle, ...seeds], {
    stdio: ["ignore", "pipe", "pipe"],
  });
  let next = from;
  let complaint = "";
  child.stderr.on("data", (text) => {
    complaint = `${complaint}${text}`.slice(-2_000);
  });
  const ended = new Promise<number | null>((resolve) => child.on("close", resolve));
  for await (const line of createInterface({ input: child.stdout })) {
    const report = JSON.parse(line) as SeedReport;
    next = report.seed + by;
    tell(report);
  }
  const code = await ended;
  if (code === 0) return;
  // 13: nothing is left that could happen, and somebody waits.
  const says = code === 13 ? "somebody waits for ever" : `exit code ${code}: ${complaint}`;
  tell({ seed: next, faults: [`a schedule ends: ${says}`], counts: {}, trace: null });
}

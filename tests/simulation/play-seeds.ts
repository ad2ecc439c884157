// Plays seeds one after the other and reports each on a line of its own, as JSON. Started by
// simulate.ts and mutants.ts, as a process of its own: play-seeds.mjs [options].

import { parseArgs } from "node:util";
import type { Counts } from "./simulation.ts";
import { simulate } from "./simulator.ts";

/** What became of a seed. */
export type SeedReport = {
  readonly seed: number;
  readonly faults: readonly string[];
  readonly counts: Counts;
  /** Null: it was not asked for. */
  readonly trace: readonly string[] | null;
};

const { values } = parseArgs({
  options: {
    from: { type: "string", default: "1" },
    to: { type: "string", default: "1" },
    /** Every how manieth. */
    by: { type: "string", default: "1" },
    steps: { type: "string" },
    trace: { type: "boolean", default: false },
    /** Ends at the first seed with a fault. */
    untilFault: { type: "boolean", default: false },
  },
});

const steps = values.steps === undefined ? undefined : Number(values.steps);
for (let seed = Number(values.from); seed <= Number(values.to); seed += Number(values.by)) {
  const report = await play(seed);
  process.stdout.write(`${JSON.stringify(report)}\n`);
  if (values.untilFault && report.faults.length > 0) break;
}
// Whatever still waits, waits for nothing.
process.exit(0);

async function play(seed: number): Promise<SeedReport> {
  try {
    const { faults, counts, trace } = await simulate(seed, steps);
    return { seed, faults, counts, trace: values.trace ? trace : null };
  } catch (cause) {
    const says = cause instanceof Error ? (cause.stack ?? cause.message) : String(cause);
    return { seed, faults: [`a schedule ends: ${says}`], counts: {}, trace: null };
  }
}

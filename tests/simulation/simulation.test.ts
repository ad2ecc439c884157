// Many devices and a hub in one process, and whatever can befall them. A seed is in its test's title;
// LANEHOLD_SEED=n runs that one alone.

import { expect, test } from "vitest";
import { regressions } from "./regressions.ts";
import { simulate } from "./simulator.ts";

const wanted = process.env["LANEHOLD_SEED"];
const usual = Array.from({ length: 40 }, (_, index) => index + 1);
const seeds = wanted === undefined ? usual : [Number(wanted)];

for (const seed of seeds) {
  test(`seed ${seed}: all replicas agree, and nothing acknowledged is lost`, async () => {
    const { faults, trace } = await simulate(seed);
    expect(faults, `${trace.slice(-40).join("\n")}\nLANEHOLD_SEED=${seed}`).toEqual([]);
  });
}

for (const { seed, found } of wanted === undefined ? regressions : []) {
  test(`seed ${seed}, which found: ${found}`, async () => {
    expect((await simulate(seed)).faults).toEqual([]);
  });
}

test("a seed played twice gives the same trace and the same record", async () => {
  // One in memory with a liar, files and two windows, one on SQLite.
  for (const seed of [17, 19]) {
    const [first, second] = [await simulate(seed), await simulate(seed)];
    expect(second.trace).toEqual(first.trace);
    expect(second.digest).toBe(first.digest);
  }
});

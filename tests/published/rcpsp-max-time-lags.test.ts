// The time part of projects with time lags: UBO and SM sets (Schwindt; Franck, Neumann & Schwindt 2001,
// OR Spektrum 23), as gathered in ../shared/data/rcpsp-max. A project that has a schedule keeps its lags,
// and no schedule is shorter than the lags alone let it be. Where no schedule exists the lags may still
// be kept, for want of resources; then only the one direction can be checked.

import { readFileSync } from "node:fs";
import { expect, test } from "vitest";
import { readNetworkLine } from "../../machines/time/read-network-line.ts";
import { networkTimes } from "../../machines/time/simple-network.ts";

const sets = ["j10", "j20", "ubo10", "ubo20", "ubo50"];

test("[simple 1] [simple 2] the lags of every project with a schedule can be kept in its length", () => {
  let withSchedule = 0;
  let lagsImpossible = 0;
  for (const set of sets) {
    const file = new URL(`../../../shared/data/rcpsp-max/${set}.jsonl`, import.meta.url);
    for (const line of readFileSync(file, "utf8").split("\n")) {
      if (line === "") continue;
      const { value } = readNetworkLine(line);
      if (value?.form !== "lags") throw new Error(`not a project: ${line.slice(0, 60)}`);
      const { name, network, knownLengthSeconds } = value;
      const { times } = networkTimes(network, 0);
      if (knownLengthSeconds === null) {
        lagsImpossible += times === null ? 1 : 0;
        continue;
      }
      withSchedule += 1;
      const length = times?.earliestSeconds[network.points - 1] ?? Infinity;
      expect(length, `${set} ${name}`).toBeLessThanOrEqual(knownLengthSeconds);
    }
  }
  expect(withSchedule).toBeGreaterThan(300);
  expect(lagsImpossible).toBe(0);
});

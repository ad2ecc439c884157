// Random programs against a solver library (HiGHS, compiled to WebAssembly).

import loadHighs from "highs";
import { expect, test } from "vitest";
import { maximise } from "../../../../machines/base/linear-program.ts";
import type { LinearProgram } from "../../../../machines/base/linear-program.ts";
import { createSeededRandom } from "../../../../machines/base/seeded-random.ts";

test("[linear-program 1] [linear-program 2] value and prices are those of a solver library", async () => {
  const highs = await loadHighs();
  let bounded = 0;
  let unbounded = 0;
  for (let seed = 1; seed <= 80; seed += 1) {
    const program = aProgram(seed);
    const solution = maximise(program);
    const { Status, ObjectiveValue } = highs.solve(textOf(program));
    if (solution === null) {
      unbounded += 1;
      expect(["Unbounded", "Primal infeasible or unbounded"], `seed ${seed}`).toContain(Status);
      continue;
    }
    bounded += 1;
    expect(Status, `seed ${seed}`).toBe("Optimal");
    expect(solution.value, `seed ${seed}`).toBeCloseTo(ObjectiveValue, 6);
    checkPrices(program, solution.prices, solution.value);
  }
  expect(Math.min(bounded, unbounded)).toBeGreaterThan(10);
});

// Prices cover every gain and come to the same total: so both are the best possible.
function checkPrices(program: LinearProgram, prices: readonly number[], value: number): void {
  const { gains, rows, limits } = program;
  for (const price of prices) expect(price).toBeGreaterThanOrEqual(-1e-9);
  for (const [column, gain] of gains.entries()) {
    const covered = rows.reduce((sum, row, at) => sum + (row[column] ?? 0) * (prices[at] ?? 0), 0);
    expect(covered).toBeGreaterThanOrEqual(gain - 1e-6);
  }
  const total = limits.reduce((sum, limit, at) => sum + limit * (prices[at] ?? 0), 0);
  expect(total).toBeCloseTo(value, 6);
}

function aProgram(seed: number): LinearProgram {
  const random = createSeededRandom(seed);
  const columns = 1 + random.nextBelow(6);
  const numbers = (from: number, to: number) =>
    Array.from({ length: columns }, () => from + random.nextBelow(to - from + 1));
  const rows = Array.from({ length: 1 + random.nextBelow(6) }, () => numbers(-1, 4));
  return { gains: numbers(-3, 9), rows, limits: rows.map(() => random.nextBelow(10)) };
}

function textOf({ gains, rows, limits }: LinearProgram): string {
  const limited = rows.map((row, at) => ` c${at}: ${sum(row)} <= ${limits[at]}`);
  return `Maximize\n obj: ${sum(gains)}\nSubject To\n${limited.join("\n")}\nEnd\n`;
}

function sum(row: readonly number[]): string {
  const terms = row.map((times, at) => `${times < 0 ? "-" : "+"} ${Math.abs(times)} x${at}`);
  return terms.join(" ");
}

// How much faster one added bound is than recomputing all pairs, at 400 steps.
//
// Workload: the network of 400 steps in four lanes (801 points), with links between lanes, drawn from a
// seed. One tap after another says when the next step ended: one bound more, sooner or later than before.
// The minimal network and the live times take it up; the other way computes all pairs anew with the same
// bounds. Left out: making the network and its first minimal network.
//
// To run: npm run bench -- tests/bench/network.bench.ts

import { createSeededRandom } from "../../machines/base/seeded-random.ts";
import { addBoundMutable as addToTimes, liveTimes } from "../../machines/time/live-times.ts";
import { addBoundMutable, minimalNetwork } from "../../machines/time/minimal-network.ts";
import type { Bound } from "../../machines/time/simple-network.ts";

const steps = 400;
const lanes = 4;
const points = 2 * steps + 1;
const taps = 60;
const roundsAnew = 3;

main();

function main(): void {
  const bounds = boundsOfPlan();
  const { minimal } = minimalNetwork({ points, bounds });
  const { live } = liveTimes({ points, bounds }, 0);
  if (minimal === null || live === null) throw new Error("the plan can be kept");
  const addedMs: number[] = [];
  const timesMs: number[] = [];
  const changed: number[] = [];
  for (let step = 0; step < taps; step += 1) {
    const end = 2 * step + 2;
    const latest = (live.latestSeconds[end] ?? 0) + (live.earliestSeconds[end] ?? 0);
    const bound = { from: end, to: 0, seconds: -Math.floor(latest / 2) };
    addedMs.push(timed(() => changed.push(addBoundMutable(minimal, bound).changedPairs)));
    timesMs.push(timed(() => addToTimes(live, bound)));
    bounds.push(bound);
  }
  const anewMs: number[] = [];
  for (let round = 0; round < roundsAnew; round += 1) {
    anewMs.push(
      timed(() => check(minimalNetwork({ points, bounds }).minimal?.spans, minimal.spans)),
    );
  }
  const anew = median(anewMs);
  console.log(`all pairs kept up: ratio ${(anew / median(addedMs)).toFixed(0)} (aim 50)`);
  console.log(`slowest of ${taps} taps: ratio ${(anew / Math.max(...addedMs)).toFixed(0)}`);
  console.log(`earliest and latest kept up: ratio ${(anew / median(timesMs)).toFixed(0)}`);
  console.log(`pairs changed by a tap, median: ${median(changed)} of ${points * points}`);
}

function boundsOfPlan(): Bound[] {
  const random = createSeededRandom(2026);
  const bounds: Bound[] = [{ from: 0, to: points - 1, seconds: 1e6 }];
  for (let step = 0; step < steps; step += 1) {
    const [start, end] = [2 * step + 1, 2 * step + 2];
    bounds.push({ from: start, to: 0, seconds: 0 }, { from: 0, to: end, seconds: 200_000 });
    bounds.push({ from: start, to: end, seconds: 400 }, { from: end, to: start, seconds: -200 });
    if (step >= lanes) bounds.push({ from: start, to: end - 2 * lanes, seconds: 0 });
    const other = random.nextBelow(step + 1);
    if (random.nextBelow(5) === 0 && other < step) {
      bounds.push({ from: start, to: 2 * other + 2, seconds: 0 });
    }
  }
  return bounds;
}

function check(anew: Float64Array | undefined, keptUp: Float64Array): void {
  if (anew?.some((span, place) => Math.abs(span - (keptUp[place] ?? 0)) > 1e-6) !== false) {
    throw new Error("the two ways disagree");
  }
}

function timed(way: () => unknown): number {
  const beganMs = performance.now();
  way();
  return performance.now() - beganMs;
}

function median(values: readonly number[]): number {
  return [...values].sort((a, b) => a - b)[Math.floor(values.length / 2)] ?? 0;
}

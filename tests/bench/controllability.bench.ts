// How much faster the check of controllability is than a plain rendering of Morris 2014.
//
// Workload: the ten published networks of 401 points and 40 contingent spans in ../shared/data/stnu,
// five of them controllable. Each network is checked by both ways in turn, in rounds after one of
// warming up; medians are compared, network by network. Left out: reading the file.
//
// To run: npm run bench -- tests/bench/controllability.bench.ts

import { readFileSync } from "node:fs";
import { isControllable } from "../../machines/time/controllability.ts";
import { readNetworkLine } from "../../machines/time/read-network-line.ts";
import { isControllableByMorris2014 } from "../support/morris-2014.ts";

const rounds = 15;
const file = "../shared/data/stnu/benchmark.jsonl";

main();

function main(): void {
  const networks = readFileSync(file, "utf8")
    .split("\n")
    .filter((line) => line !== "")
    .flatMap((line) => readNetworkLine(line).value ?? [])
    .filter(({ network }) => network.points === 401);
  const totals = { oursMs: 0, plainMs: 0 };
  for (const { name, network } of networks) {
    const oursMs: number[] = [];
    const plainMs: number[] = [];
    for (let round = 0; round <= rounds; round += 1) {
      const ours = timed(() => isControllable(network));
      const plain = timed(() => isControllableByMorris2014(network));
      if (ours.value !== plain.value) throw new Error(`${name}: the two ways disagree`);
      if (round > 0) oursMs.push(ours.ms);
      if (round > 0) plainMs.push(plain.ms);
    }
    totals.oursMs += median(oursMs);
    totals.plainMs += median(plainMs);
    const ratio = (median(plainMs) / median(oursMs)).toFixed(1);
    console.log(`${name.slice(0, 6)}…${name.slice(-10)}: rendering / ours = ${ratio}`);
  }
  console.log(
    `all ${networks.length}: ratio ${(totals.plainMs / totals.oursMs).toFixed(1)} (aim 10)`,
  );
}

function timed<Value>(way: () => Value): { readonly value: Value; readonly ms: number } {
  const beganMs = performance.now();
  const value = way();
  return { value, ms: performance.now() - beganMs };
}

function median(values: readonly number[]): number {
  return [...values].sort((a, b) => a - b)[Math.floor(values.length / 2)] ?? 0;
}

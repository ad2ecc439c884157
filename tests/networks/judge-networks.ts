// Judges the networks of a file, line by line: can each be controlled or kept, and is that what the file
// says others found? Both ways of walking are taken, and the circle of a bad network is added up again.

import { checkControllability } from "../../machines/time/controllability.ts";
import type { UncertainCircle } from "../../machines/time/circle-of-edges.ts";
import { readNetworkLine } from "../../machines/time/read-network-line.ts";
import type { NetworkLine } from "../../machines/time/read-network-line.ts";
import { networkTimes } from "../../machines/time/simple-network.ts";
import type { UncertainNetwork } from "../../machines/time/uncertain-network.ts";

/** What came of one line. Lines are counted from 1. */
export type Judged = { readonly line: number; readonly hasPassed: boolean; readonly says: string };

/** Judges every line that is not blank, one at a time. */
export function* judgeNetworks(text: string): Generator<Judged> {
  for (const [place, line] of text.split(/\r?\n/).entries()) {
    if (line.trim() !== "") yield { line: place + 1, ...judgeLine(line) };
  }
}

type Verdict = Omit<Judged, "line">;

function judgeLine(line: string): Verdict {
  const { value, faults } = readNetworkLine(line);
  if (value === null) {
    const told = faults.slice(0, 5).map(({ path, says, mend }) => `${path} ${says} ${mend}`.trim());
    const more = faults.length > 5 ? ` (and ${faults.length - 5} more)` : "";
    return { hasPassed: false, says: `not a network: ${told.join(" | ")}${more}` };
  }
  return value.form === "uncertain" ? judgeUncertain(value) : judgeLags(value);
}

function judgeUncertain({ name, network, knownControllable }: NetworkLine & { form: "uncertain" }) {
  const stopping = checkControllability(network, "stopping");
  const passing = checkControllability(network, "passing");
  if (stopping.controllable !== passing.controllable) {
    return { hasPassed: false, says: `${name}: the two ways of walking disagree` };
  }
  if (!stopping.controllable && !addsUp(network, stopping.circle)) {
    return { hasPassed: false, says: `${name}: its circle does not add up to less than nothing` };
  }
  const verdict = stopping.controllable
    ? "controllable"
    : `not controllable, ${-stopping.circle.seconds} s short: ${pointsOf(stopping.circle)}`;
  if (knownControllable === null) {
    return { hasPassed: true, says: `${name}: ${verdict} (the file gives no verdict)` };
  }
  const hasPassed = knownControllable === stopping.controllable;
  const wrong = `; the file says ${knownControllable ? "controllable" : "not controllable"}`;
  return { hasPassed, says: `${name}: ${verdict}${hasPassed ? ", right" : wrong}` };
}

function judgeLags({ name, network, knownLengthSeconds: known }: NetworkLine & { form: "lags" }) {
  const { times, circle } = networkTimes(network, 0);
  if (circle !== null) {
    const says = `${name}: its time lags cannot be kept, ${-circle.seconds} short`;
    if (known === null) return { hasPassed: true, says: `${says}, right: there is no schedule` };
    return { hasPassed: false, says: `${says}; the file has a schedule of ${known}` };
  }
  const length = times.earliestSeconds[network.points - 1] ?? 0;
  const says = `${name}: its time lags can be kept in ${length}`;
  if (known === null) {
    return { hasPassed: true, says: `${says} (the file has no schedule, for want of resources)` };
  }
  return length <= known
    ? { hasPassed: true, says: `${says}, right: the file has a schedule of ${known}` }
    : { hasPassed: false, says: `${says}; the file has a schedule of only ${known}` };
}

function addsUp({ bounds, contingents }: UncertainNetwork, circle: UncertainCircle): boolean {
  const { timesByBound, leastsByContingent, mostsByContingent } = circle;
  const counted = [
    ...[...timesByBound].map(([at, times]) => times * (bounds[at]?.seconds ?? 0)),
    ...[...leastsByContingent].map(([at, times]) => times * (contingents[at]?.leastSeconds ?? 0)),
    ...[...mostsByContingent].map(([at, times]) => times * (contingents[at]?.mostSeconds ?? 0)),
  ];
  const sum = counted.reduce((total, seconds) => total + seconds, 0);
  const size = counted.reduce((total, seconds) => total + Math.abs(seconds), 0);
  return circle.seconds < 0 && Math.abs(sum - circle.seconds) < 1e-6 + 1e-9 * size;
}

function pointsOf({ legs, isCut }: UncertainCircle): string {
  const points = legs.slice(0, 12).map(({ from }) => from);
  const isShort = !isCut && legs.length <= 12;
  return isShort ? [...points, points[0]].join(" > ") : `${points.join(" > ")} > …`;
}

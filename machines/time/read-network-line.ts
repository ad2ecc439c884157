// Reads one line of a file of networks: a network with uncertainty, or the time part of a project with
// time lags. Both forms are those of published collections, one JSON object a line.
//
//   { "name", "points", "edges": [[from, to, seconds]],
//     "contingent": [[activation, end, least, most]], "dynamicallyControllable" }
//   { "name", "duration": [seconds], "startLags": [[from, to, seconds]], "bounds": [least, most] }
//
// A start lag says that `to` starts at least so long after `from`. "dynamicallyControllable" and
// "bounds" are what others have found; either may be missing or null. Further members are passed over.
//
// [network-line 1] It finds every fault of a line at once, and a line with a fault has no value.
// [network-line 2] It never throws.

import { parseJson } from "../base/parse-json.ts";
import type { Fault } from "../procedure/fault.ts";
import { isObject } from "../procedure/read-shape.ts";
import { contingentFlaws } from "./uncertain-network.ts";
import type { UncertainNetwork } from "./uncertain-network.ts";

/** A network, and what others have found about it. */
export type NetworkLine =
  | {
      readonly form: "uncertain";
      readonly name: string;
      readonly network: UncertainNetwork;
      /** Null: nothing is known. */
      readonly knownControllable: boolean | null;
    }
  | {
      readonly form: "lags";
      readonly name: string;
      /** Points are the starts of jobs; job 0 is the start of all, the last one their end. */
      readonly network: UncertainNetwork;
      /** Seconds within which a whole schedule is known to fit; null: none is known. */
      readonly knownLengthSeconds: number | null;
    };

/** The line's network, or all that is wrong with the line. */
export type NetworkLineReading =
  | { readonly value: NetworkLine; readonly faults: readonly [] }
  | { readonly value: null; readonly faults: readonly Fault[] };

/** The largest networks that are read. */
export const pointsMax = 100_000;
const secondsMax = 1e9;

/**
 * Reads one line.
 *
 * Errors: none; faults are in the result, with JSON Pointers into the line's object.
 */
export function readNetworkLine(text: string): NetworkLineReading {
  const { value, flaw } = parseJson(text);
  if (flaw !== null) {
    const says = `The text breaks at column ${flaw.column}: ${flaw.says}.`;
    return refuse([{ path: "", code: "not-json", says, mend: "Mend the line at that place." }]);
  }
  if (!isObject(value)) {
    const says = "The line is not an object.";
    return refuse([{ path: "", code: "wrong-type", says, mend: "Put one object on each line." }]);
  }
  const faults: Fault[] = [];
  const line = "startLags" in value ? readLags(value, faults) : readUncertain(value, faults);
  return faults.length > 0 ? refuse(faults) : { value: line, faults: [] };
}

type Members = Readonly<Record<string, unknown>>;

function refuse(faults: readonly Fault[]): NetworkLineReading {
  return { value: null, faults };
}

function readUncertain(value: Members, faults: Fault[]): NetworkLine {
  const points = readCount(value["points"], faults);
  const known = value["dynamicallyControllable"] ?? null;
  if (known !== null && typeof known !== "boolean") {
    faults.push({
      path: "/dynamicallyControllable",
      code: "wrong-type",
      says: "The known verdict is neither true nor false.",
      mend: "Write true or false, or leave it out.",
    });
  }
  const edges = readRows(value, { member: "edges", width: 3, points, faults });
  const spans = readRows(value, { member: "contingent", width: 4, points, faults });
  const network = {
    points,
    bounds: edges.map(([from = 0, to = 0, seconds = 0]) => ({ from, to, seconds })),
    contingents: spans.map(([activation = 0, end = 0, leastSeconds = 0, mostSeconds = 0]) => ({
      activation,
      end,
      leastSeconds,
      mostSeconds,
    })),
  };
  for (const { contingent, says } of faults.length === 0 ? contingentFlaws(network) : []) {
    faults.push({
      path: `/contingent/${contingent}`,
      code: "bad-contingent",
      says: `Contingent span ${contingent} cannot be: ${says}.`,
      mend: "Write [activation, end, least, most] with 0 <= least <= most; give each end one span.",
    });
  }
  const knownControllable = typeof known === "boolean" ? known : null;
  return { form: "uncertain", name: nameOf(value), network, knownControllable };
}

function readLags(value: Members, faults: Fault[]): NetworkLine {
  const { duration } = value;
  const jobs = Array.isArray(duration) ? duration.length : 0;
  if (jobs < 1) {
    faults.push({
      path: "/duration",
      code: "wrong-type",
      says: "There is no list of the jobs' durations.",
      mend: 'Give "duration" one number a job.',
    });
  }
  const lags = readRows(value, { member: "startLags", width: 3, points: jobs, faults });
  const bounds = value["bounds"] ?? null;
  const upper: unknown = Array.isArray(bounds) ? bounds[1] : bounds;
  if (upper !== null && !isSeconds(upper)) {
    faults.push({
      path: "/bounds",
      code: "wrong-type",
      says: "The known bounds are not two numbers.",
      mend: "Write [least, most], or null where no schedule exists.",
    });
  }
  const network = {
    points: jobs,
    bounds: lags.map(([from = 0, to = 0, seconds = 0]) => ({
      from: to,
      to: from,
      seconds: -seconds,
    })),
    contingents: [],
  };
  const knownLengthSeconds = isSeconds(upper) ? upper : null;
  return { form: "lags", name: nameOf(value), network, knownLengthSeconds };
}

function nameOf(value: Members): string {
  return typeof value["name"] === "string" ? value["name"] : "without a name";
}

function readCount(count: unknown, faults: Fault[]): number {
  if (Number.isSafeInteger(count) && Number(count) >= 1 && Number(count) <= pointsMax) {
    return Number(count);
  }
  faults.push({
    path: "/points",
    code: "wrong-type",
    says: `The number of points is not a whole number from 1 to ${pointsMax}.`,
    mend: 'Give "points" the number of points; they are numbered from 0.',
  });
  return 0;
}

type Rows = {
  readonly member: string;
  /** Numbers in a row: two points first, then seconds. */
  readonly width: number;
  readonly points: number;
  readonly faults: Fault[];
};

function readRows(value: Members, { member, width, points, faults }: Rows): readonly number[][] {
  const rows = value[member];
  if (!Array.isArray(rows)) {
    faults.push({
      path: `/${member}`,
      code: "wrong-type",
      says: `There is no list "${member}".`,
      mend: `Give "${member}" a list, be it empty.`,
    });
    return [];
  }
  const faultsBefore = faults.length;
  for (const [place, row] of rows.entries()) {
    const says = flawOfRow(row, width, points);
    if (says === null) continue;
    faults.push({
      path: `/${member}/${place}`,
      code: "bad-row",
      says: `Row ${place} of "${member}" ${says}.`,
      mend: `Write ${width} numbers: two points from 0 on, then seconds.`,
    });
  }
  return faults.length === faultsBefore ? (rows as number[][]) : [];
}

function flawOfRow(row: unknown, width: number, points: number): string | null {
  if (!Array.isArray(row) || row.length !== width) return `is not a list of ${width}`;
  if (!row.slice(2).every(isSeconds)) return `has seconds that are no number up to ${secondsMax}`;
  // Where the number of points is wrong itself, only what no number of points can mend is told.
  const end = points > 0 ? points : pointsMax;
  const isPoint = (at: unknown) => Number.isSafeInteger(at) && Number(at) >= 0 && Number(at) < end;
  return row.slice(0, 2).every(isPoint) ? null : "names a point that the network has not";
}

function isSeconds(value: unknown): value is number {
  return typeof value === "number" && Math.abs(value) <= secondsMax;
}

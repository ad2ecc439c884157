// Checking segments that came from elsewhere, before anything of them is stored.
//
// [check-segments 1] A segment passes only if it is whole, of the run that was asked for, and its head is
//   signed by the device that it names.

import { pointer } from "../../machines/procedure/read-shape.ts";
import type { Fault } from "../../machines/procedure/fault.ts";
import type { RunId } from "../../machines/record/ids.ts";
import { readSegment } from "../../machines/sync/segment.ts";
import type { ReadSegment } from "../../machines/sync/segment.ts";
import { sha256Hex } from "../keys/sha-256.ts";
import { verifyHead } from "../keys/verify-head.ts";

/** Segments that came, sorted by what they are worth. */
export type CheckedSegments = {
  readonly segments: readonly ReadSegment[];
  /** Whole, but not signed by the device that they name. */
  readonly forged: readonly ReadSegment[];
  /** Of those that are not whole. */
  readonly faults: readonly Fault[];
};

/** Reads and verifies segments of a run. Errors: `KeyFailedError`; what is wrong with them is data. */
export async function checkSegments(
  values: readonly unknown[],
  run: RunId,
): Promise<CheckedSegments> {
  const faults: Fault[] = [];
  const whole: ReadSegment[] = [];
  for (const [index, value] of values.entries()) {
    const path = pointer("/segments", String(index));
    const read = readSegment(value, path, sha256Hex);
    faults.push(...read.faults);
    if (read.segment?.head.run === run) whole.push(read.segment);
    else if (read.segment !== null) faults.push({ ...foreignRun, path: `${path}/head/run` });
  }
  const areSigned = await Promise.all(whole.map(({ head }) => verifyHead(head)));
  return {
    segments: whole.filter((_, index) => areSigned[index] === true),
    forged: whole.filter((_, index) => areSigned[index] !== true),
    faults,
  };
}

const foreignRun = {
  code: "foreign-run",
  says: "This segment is of another run.",
  mend: "Read it into its own run.",
};

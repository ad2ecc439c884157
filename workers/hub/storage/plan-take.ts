// What a segment that came in changes in its run: one plan for every adapter.
// It keeps [storage 3] and [storage 8], and what `judge-segment.ts` keeps.

import { assert } from "../../../machines/base/assert.ts";
import type { DeviceId } from "../../../machines/record/ids.ts";
import { emptyChain, judgeSegment } from "./judge-segment.ts";
import type { ChainEnd } from "./judge-segment.ts";
import type { IncomingSegment, NotedEntry, SetAsideSegment, TakeResult } from "./record-storage.ts";

/** Where a run stands; a plan carries it on. */
export type RunState = {
  /** The highest place. */
  head: number;
  isClosed: boolean;
  /** Whether any of its entries is for directors only. */
  hidesSomething: boolean;
  readonly chains: Map<DeviceId, ChainEnd>;
};

/** What is to be written. */
export type TakePlan = {
  readonly result: TakeResult;
  /** To be listed; null: nothing. */
  readonly segment: PlannedSegment | null;
  /** The place under which what was for directors only is listed once more; null: it is not. */
  readonly unveiledPlace: number | null;
  readonly setAside: SetAsideSegment | null;
};

/** A segment to be listed. */
export type PlannedSegment = {
  readonly place: number;
  readonly device: DeviceId;
  readonly fromSeq: number;
  readonly toSeq: number;
  readonly digest: string;
  readonly text: string;
  readonly noted: readonly NotedEntry[];
};

/**
 * Plans what becomes of a segment, and carries the run's state on; if it throws, the state is as it was.
 *
 * @param digestAt as of `judgeSegment`
 * Errors: assertions.
 */
export function planTake(
  stateMutable: RunState,
  incoming: IncomingSegment,
  nowMs: number,
  digestAt: (seq: number) => string | undefined,
): TakePlan {
  const { run, device, fromSeq, toSeq } = incoming;
  const chain = stateMutable.chains.get(device) ?? emptyChain;
  const judgement = judgeSegment(incoming, chain, digestAt);
  const digest = incoming.digests.at(-1);
  assert(digest !== undefined, "a segment has an entry");
  if (judgement.does === "nothing") return { ...nothing, result: { taken: 0, refused: null } };
  if (judgement.does === "refuse") {
    const { seq, code } = judgement;
    const result = { taken: 0, refused: { seq, code } };
    if (code === "gap") return { ...nothing, result };
    const text = incoming.textFrom(fromSeq);
    const evidence = { device, fromSeq, toSeq, code, receivedMs: nowMs };
    return { ...nothing, result, setAside: { ...evidence, run, digest, text } };
  }
  const text = incoming.textFrom(judgement.fromSeq);
  const noted = incoming.noted.filter(({ seq }) => seq >= judgement.fromSeq);
  stateMutable.head += 1;
  stateMutable.chains.set(device, { have: toSeq, digest });
  const place = stateMutable.head;
  const segment = { place, device, fromSeq: judgement.fromSeq, toSeq, digest, text, noted };
  const result = { taken: toSeq - judgement.fromSeq + 1, refused: null };
  return { ...nothing, result, segment, unveiledPlace: planUnveiling(stateMutable, noted) };
}

const nothing = { segment: null, unveiledPlace: null, setAside: null };

function planUnveiling(stateMutable: RunState, noted: readonly NotedEntry[]): number | null {
  if (noted.some(({ isDirectorOnly }) => isDirectorOnly)) stateMutable.hidesSomething = true;
  if (stateMutable.isClosed || !noted.some(({ closesRun }) => closesRun)) return null;
  stateMutable.isClosed = true;
  if (!stateMutable.hidesSomething) return null;
  stateMutable.head += 1;
  return stateMutable.head;
}

// One device's exchange with the hub about one run, without any I/O: facts in, orders out.
//
// A round: bring the run to the hub if it is new there -> push what the hub lacks -> pull until there
// is no more -> admit devices (a director's) -> push what came of that -> relay what the hub lacks of
// other devices' -> finished.
//
// Definition: a *round* begins with `round.wanted` and ends with `round.finished` or `round.put-off`.
// Definition: the *facts* of a round are what the store holds; a session that is lost is begun again
//   from them.
// [sync-session 1] Each step gives exactly one order, until the round ends; an answer that does not
//   belong to the order that is out is an assertion.
// [sync-session 2] Every order may be carried out again without harm: a cut request, a cut answer, a
//   repeat or a crash costs time only.
// [sync-session 3] What the hub says it has is believed over what was remembered: after a restored
//   backup everything above its `have` is pushed again.
// [sync-session 5] Whoever holds what another device signed brings it to a hub that lacks it.
// [sync-session 6] Where the hub has another branch of a chain, everything is pulled anew, once a round,
//   so that the branch that it lists takes the other's place.
// [sync-session 4] A round ends: orders that bring nothing forward are counted and bounded.

import { assert } from "../base/assert.ts";
import type { DeviceId } from "../record/ids.ts";
import { backoffMs } from "./backoff.ts";
import type { Admission } from "./join.ts";
import type { PullAnswer, PullCursor } from "./pull.ts";
import type { PushAnswer } from "./push.ts";

/** What the store holds when a round begins. */
export type SyncFacts = {
  readonly device: DeviceId;
  /** This device opened the run and can bring it to the hub. */
  readonly opener: boolean;
  readonly director: boolean;
  readonly hasProcedure: boolean;
  readonly registered: boolean;
  readonly cursor: PullCursor | null;
  /** Own entries that the hub has confirmed: up to this seq. */
  readonly confirmedSeq: number;
  /** Own entries that are held: up to this seq. */
  readonly ownSeq: number;
};

/** A round under way, or the time between two. */
export type SyncSession = SyncFacts & {
  /** The order that is out. */
  readonly awaits: SyncOrder["type"] | null;
  /** Rounds in a row that the hub did not answer. */
  readonly failures: number;
  /** Times in this round that something had to be done over. */
  readonly repeats: number;
  /** Everything was pulled once from the beginning, and what was looked for has not been found since. */
  readonly pulledAnew: boolean;
  /** This device holds signed entries of others that the hub lacks. */
  readonly canRelay: boolean;
  /** What the hub said last that it has. */
  readonly have: PullAnswer["have"];
  /** Something that was pulled in this round follows on another entry than the one that is held. */
  readonly isBroken: boolean;
  /** What the hub refused in this round; null: nothing. */
  readonly refused: { readonly code: string; readonly says: string } | null;
};

/** What happened. */
export type SyncInput =
  | { readonly type: "round.wanted"; readonly facts: SyncFacts }
  | { readonly type: "procedure.fetched" }
  | { readonly type: "procedure.put" }
  | { readonly type: "run.opened" }
  | { readonly type: "entries.pushed"; readonly afterSeq: number; readonly answer: PushAnswer }
  | { readonly type: "entries.pulled"; readonly answer: PullAnswer }
  /** `ownSeq`: as in `SyncFacts`, after what was pulled is stored. */
  | {
      readonly type: "entries.stored";
      readonly ownSeq: number;
      readonly answer: PullAnswer;
      /** Own entries gave way to those that the hub has under their names. */
      readonly gaveWay: boolean;
      /** Something follows on another entry than the one that is held here. */
      readonly isBroken: boolean;
      /** This device holds signed entries of others that the hub lacks. */
      readonly canRelay: boolean;
    }
  | { readonly type: "devices.admitted"; readonly ownSeq: number }
  /** `have`: of the hub's answer; `canRelay`: as above, after this push. */
  | {
      readonly type: "entries.relayed";
      readonly ownSeq: number;
      readonly have: PullAnswer["have"];
      readonly canRelay: boolean;
    }
  /** `random` from 0 to 1, 1 excluded; `waitMs`: the hub asked for so long a wait, or 0. */
  | { readonly type: "request.refused"; readonly refusal: SyncRefusal; readonly random: number }
  | { readonly type: "request.failed"; readonly random: number };

/** What the hub refused, and how long it asks to wait, 0 if it does not say. */
type SyncRefusal = {
  readonly code: string;
  readonly says: string;
  readonly waitMs: number;
};

/** What is to be done, and what to answer. */
export type SyncOrder =
  | { readonly type: "procedure.fetch" }
  | { readonly type: "procedure.put" }
  | { readonly type: "run.open" }
  | { readonly type: "entries.push"; readonly afterSeq: number }
  | { readonly type: "entries.pull"; readonly cursor: PullCursor | null }
  | { readonly type: "entries.store"; readonly answer: PullAnswer }
  | { readonly type: "devices.admit"; readonly admissions: readonly Admission[] }
  | { readonly type: "entries.relay"; readonly have: PullAnswer["have"] };

/** How a round ended. */
export type SyncEnd =
  | { readonly type: "round.finished" }
  | { readonly type: "round.put-off"; readonly delayMs: number };

/** The session after a step, and what to do now. */
export type SyncStep = { readonly session: SyncSession; readonly output: SyncOrder | SyncEnd };

/** So often in one round something may have to be done over. */
export const repeatsMax = 8;

/** A session before its first round. */
export function createSession(facts: SyncFacts): SyncSession {
  return { ...facts, awaits: null, failures: 0, repeats: 0, pulledAnew: false, ...atRoundsBegin };
}

const atRoundsBegin = { canRelay: false, have: {}, isBroken: false, refused: null };

/**
 * Takes one step.
 *
 * Errors: an assertion for an input that does not belong to the order that is out.
 */
export function stepSession(session: SyncSession, input: SyncInput): SyncStep {
  switch (input.type) {
    case "round.wanted":
      assert(session.awaits === null, "a round begins when none is under way");
      return beginRound({ ...session, ...input.facts, repeats: 0, ...atRoundsBegin });
    case "procedure.fetched":
      return beginRound(answered(session, "procedure.fetch", { hasProcedure: true }));
    case "procedure.put":
      return order(answered(session, "procedure.put", {}), { type: "run.open" });
    case "run.opened":
      return push(answered(session, "run.open", { registered: true }));
    case "entries.pushed":
      return afterPush(answered(session, "entries.push", {}), input.afterSeq, input.answer);
    case "entries.pulled":
      return order(answered(session, "entries.pull", {}), {
        type: "entries.store",
        answer: input.answer,
      });
    case "entries.stored":
      return afterStore(answered(session, "entries.store", { ownSeq: input.ownSeq }), input);
    case "devices.admitted":
      return settle(answered(session, "devices.admit", { ownSeq: input.ownSeq }));
    case "entries.relayed":
      return settle(
        answered(session, "entries.relay", {
          ownSeq: input.ownSeq,
          have: input.have,
          canRelay: input.canRelay,
        }),
      );
    case "request.refused":
      return afterRefusal(session, input.refusal, input.random);
    case "request.failed":
      return putOff(session, input.random, 0);
  }
}

function answered(
  session: SyncSession,
  awaited: SyncOrder["type"],
  change: Partial<SyncSession>,
): SyncSession {
  assert(session.awaits === awaited, `an answer to ${awaited} was awaited`);
  return { ...session, ...change, awaits: null };
}

function order(session: SyncSession, output: SyncOrder): SyncStep {
  return { session: { ...session, awaits: output.type }, output };
}

function beginRound(session: SyncSession): SyncStep {
  if (!session.hasProcedure) return order(session, { type: "procedure.fetch" });
  if (!session.registered && session.opener) return order(session, { type: "procedure.put" });
  return push(session);
}

function push(session: SyncSession): SyncStep {
  if (session.ownSeq <= session.confirmedSeq) return pull(session);
  return order(session, { type: "entries.push", afterSeq: session.confirmedSeq });
}

function pull(session: SyncSession): SyncStep {
  return order(session, { type: "entries.pull", cursor: session.cursor });
}

function afterPush(session: SyncSession, afterSeq: number, answer: PushAnswer): SyncStep {
  const confirmedSeq = answer.have[session.device] ?? 0;
  const refused = answer.refused.find(({ device }) => device === session.device);
  const next: SyncSession = {
    ...session,
    confirmedSeq,
    refused: refused === undefined ? null : { code: refused.code, says: refused.says },
  };
  if (confirmedSeq > afterSeq && refused === undefined) return push(next);
  // The hub lacks entries below: a backup was restored. Or it took nothing: the pull goes on all the same.
  return confirmedSeq < afterSeq ? again(next, push) : pull(next);
}

function afterStore(
  session: SyncSession,
  input: SyncInput & { readonly type: "entries.stored" },
): SyncStep {
  const { answer, gaveWay, isBroken, canRelay } = input;
  const next: SyncSession = {
    ...session,
    cursor: answer.cursor,
    confirmedSeq: answer.have[session.device] ?? 0,
    have: answer.have,
    canRelay,
    isBroken: session.isBroken || isBroken,
    // What the hub refused gave way to what it has.
    refused: gaveWay ? null : session.refused,
  };
  if (answer.more) return pull(next);
  // The hub has another branch of some chain, or own entries that were lost here, and this cursor is past
  // where it begins.
  const isMissing = needsAnew(next);
  if (isMissing && !next.pulledAnew) {
    return pull({ ...next, cursor: null, isBroken: false, pulledAnew: true });
  }
  const settled = { ...next, pulledAnew: isMissing };
  if (session.director && answer.admissions.length > 0) {
    return order(settled, { type: "devices.admit", admissions: answer.admissions });
  }
  return settle(settled);
}

function needsAnew({ refused, isBroken, confirmedSeq, ownSeq }: SyncSession): boolean {
  const isForked = refused !== null && (refused.code === "fork" || refused.code === "chain");
  return isBroken || isForked || confirmedSeq > ownSeq;
}

// Ends the round, unless there is something to push that the hub has not refused.
function settle(session: SyncSession): SyncStep {
  if (session.ownSeq > session.confirmedSeq && session.refused === null) {
    return again(session, push);
  }
  if (session.canRelay) {
    return again(session, (relaying) => {
      return order(relaying, { type: "entries.relay", have: relaying.have });
    });
  }
  return finish(session);
}

// Does something over, so often and no more.
function again(session: SyncSession, step: (session: SyncSession) => SyncStep): SyncStep {
  if (session.repeats >= repeatsMax) return finish(session);
  return step({ ...session, repeats: session.repeats + 1 });
}

function finish(session: SyncSession): SyncStep {
  const { session: ended, output } = end(session, { type: "round.finished" });
  return { session: { ...ended, failures: 0 }, output };
}

function end(session: SyncSession, output: SyncEnd): SyncStep {
  return { session: { ...session, awaits: null }, output };
}

function afterRefusal(session: SyncSession, refusal: SyncRefusal, random: number): SyncStep {
  const refused = { code: refusal.code, says: refusal.says };
  if (refusal.code === "run-unknown" && session.registered && session.opener) {
    // The hub lost everything: this device brings the run there again.
    const anew = { ...session, registered: false, cursor: null, confirmedSeq: 0, awaits: null };
    return session.repeats >= repeatsMax
      ? putOff({ ...anew, refused }, random, refusal.waitMs)
      : beginRound({ ...anew, repeats: session.repeats + 1 });
  }
  return putOff({ ...session, refused }, random, refusal.waitMs);
}

function putOff(session: SyncSession, random: number, waitMs: number): SyncStep {
  const failures = session.failures + 1;
  const delayMs = Math.max(waitMs, backoffMs(failures, random));
  return end({ ...session, failures }, { type: "round.put-off", delayMs });
}

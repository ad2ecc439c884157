// The folded run as plain data.
//
// [state-of-run 1] It is JSON through and through: no undefined, no NaN, no map, nothing shared
//   that a later fold would change.
// [state-of-run 2] Time on hold of a step is the time between its start and its end, or the last
//   entry, during which at least one hold covered it; holds that overlap count once.

import type { GateId, InjectId } from "../procedure/ids.ts";
import { snapshotOf } from "../base/rewindable-list.ts";
import type { Admissions } from "./admit-devices.ts";
import { assessStart, blocksBeforeDone, isCovered, isFinished, isInPlay } from "./assess-step.ts";
import type { DeviceId, HoldId } from "./ids.ts";
import { newOwner, phaseOf } from "./run-in-fold.ts";
import type { GateInFold, HoldInFold, InjectInFold, RunInFold, StepInFold } from "./run-in-fold.ts";
import type {
  Block,
  DeviceInRun,
  GateInRun,
  HoldInRun,
  InjectInRun,
  RunState,
  StepInRun,
} from "./run-state.ts";

/** What a run has come to. */
export function stateOfRun(runMutable: RunInFold, admissions: Admissions): RunState {
  const run = runMutable;
  // Whatever the state shows of a part is not changed any more.
  runMutable.owner = newOwner();
  const { world, lastAtMs, lists } = run;
  return {
    procedure: run.procedure,
    title: run.title,
    phase: phaseOf(run.state),
    openedAtMs: run.openedAtMs,
    startedAtMs: run.startedAtMs,
    closedAtMs: run.closedAtMs,
    realStop: run.realStop,
    devices: recordFrom(admissions.membershipsByDevice, deviceInRun),
    steps: recordFrom(run.steps, (step) => stepInRun(run, step, lastAtMs ?? 0)),
    holds: recordFrom<HoldId, HoldInFold, HoldInRun>(run.holds, holdInRun),
    holdRequests: snapshotOf(lists.holdRequests),
    injects: recordFrom<InjectId, InjectInFold, InjectInRun>(run.injects, injectInRun),
    items: recordFrom(world.items, (place) => place),
    sightings: snapshotOf(lists.sightings),
    persons: recordFrom(world.persons, (person) => person),
    tethers: recordFrom(world.tethers, (sites) => sites),
    hardware: recordFrom(world.hardware, (state) => state),
    arms: recordFrom(world.arms, (site) => site),
    checks: snapshotOf(lists.checks),
    notes: snapshotOf(lists.notes),
    variances: snapshotOf(lists.variances),
    log: snapshotOf(lists.log),
  };
}

function recordFrom<Key extends string, Value, Plain>(
  map: ReadonlyMap<Key, Value>,
  toPlain: (value: Value) => Plain,
): Readonly<Record<Key, Plain>> {
  const record = {} as Record<Key, Plain>;
  for (const [key, value] of map) setMember(record, key, toPlain(value));
  return record;
}

// A name that all objects have from elsewhere is made the record's own.
function setMember<Key extends string, Plain>(
  recordMutable: Record<Key, Plain>,
  key: Key,
  value: Plain,
): void {
  if (key !== "__proto__") recordMutable[key] = value;
  else {
    const member = { value, enumerable: true, configurable: true, writable: true };
    Object.defineProperty(recordMutable, key, member);
  }
}

function deviceInRun(memberships: readonly MembershipOf[]): DeviceInRun {
  const joined = memberships.findLast(({ author }) => author.role !== null);
  const last = memberships.at(-1);
  const isStruckOff = last !== undefined && last.author.role === null;
  return {
    // Who was struck off without ever having been let in had no right but the observer's.
    role: joined?.author.role ?? "observer",
    lane: joined?.author.lane ?? null,
    name: joined?.name ?? "",
    joinedAtMs: joined?.atMs ?? last?.atMs ?? 0,
    struckOffAtMs: isStruckOff ? last.atMs : null,
  };
}

type MembershipOf =
  Admissions["membershipsByDevice"] extends ReadonlyMap<DeviceId, readonly (infer One)[]>
    ? One
    : never;

function stepInRun(run: RunInFold, step: StepInFold, lastAtMs: number): StepInRun {
  const { startedAtMs, finishedAtMs, reason, branch } = step;
  const inPlay = isInPlay(run, step.step);
  const { state, blocks } = stateAndBlocks(run, step, inPlay, lastAtMs);
  const untilMs = finishedAtMs ?? lastAtMs;
  return {
    state,
    inPlay,
    blocks,
    startedAtMs,
    finishedAtMs,
    heldMs: startedAtMs === null ? 0 : heldMs(run, step, startedAtMs, untilMs),
    reason,
    gates: gatesInRun(step),
    branch,
  };
}

function stateAndBlocks(
  run: RunInFold,
  step: StepInFold,
  inPlay: boolean,
  lastAtMs: number,
): { readonly state: StepInRun["state"]; readonly blocks: readonly Block[] } {
  const { state } = step;
  if (isFinished(state)) return { state, blocks: [] };
  if (state === "working") return { state, blocks: blocksBeforeDone(run, step) };
  if (!inPlay) return { state: "standing-by", blocks: [] };
  const { readiness, blocks } = assessStart(run, step, lastAtMs);
  return { state: readiness, blocks };
}

// Most taps are about one step. A step that a state has shown is not changed any more: if it is told
// something new it is another, with other gates.
const gatesShown = new WeakMap<StepInFold["gates"], StepInRun["gates"]>();

function gatesInRun({ gates }: StepInFold): StepInRun["gates"] {
  const shown = gatesShown.get(gates);
  if (shown !== undefined) return shown;
  const inRun = recordFrom<GateId, GateInFold, GateInRun>(gates, gateInRun);
  gatesShown.set(gates, inRun);
  return inRun;
}

function gateInRun(gate: GateInFold): GateInRun {
  const { state, acknowledgedBy, openedBy, reports, reason } = gate;
  return { state, acknowledgedBy, openedBy, reports, reason };
}

function holdInRun(hold: HoldInFold): HoldInRun {
  const { state, scope, reason, inject, raisedBy, raisedFor, raisedAtMs, releasedAtMs } = hold;
  const acknowledgedLanes = [...new Set(hold.acknowledgements.map(({ lane }) => lane))];
  return {
    state,
    scope,
    reason,
    inject,
    raisedBy,
    raisedFor,
    raisedAtMs,
    acknowledgedLanes,
    releasedAtMs,
  };
}

function injectInRun({ state, facts, responses }: InjectInFold): InjectInRun {
  return { state, ...facts, responses };
}

// Holds come in the order of their raising, so their spans begin in order too.
function heldMs(run: RunInFold, { step }: StepInFold, fromMs: number, untilMs: number): number {
  let totalMs = 0;
  let countedUntilMs = fromMs;
  for (const hold of run.holds.values()) {
    if (!isCovered(hold, step)) continue;
    const spanFromMs = Math.max(hold.raisedAtMs, countedUntilMs);
    const spanUntilMs = Math.min(hold.releasedAtMs ?? untilMs, untilMs);
    if (spanUntilMs <= spanFromMs) continue;
    totalMs += spanUntilMs - spanFromMs;
    countedUntilMs = spanUntilMs;
  }
  return totalMs;
}

// The debrief as plain data: one run, looked back on. Equal on every device with the same entries.
//
// [debrief 1] Nothing is left out: every hold, variance, inject, note, check and set-aside entry of
//   the state is there.
// [debrief 2] It is a function of the procedure, the entries and the state; "now" only ends what
//   still lasts.

import type { ProcedureIndex } from "../procedure/procedure-index.ts";
import type { Entry } from "../record/entry.ts";
import type { DeviceId, HoldId } from "../record/ids.ts";
import type { DeviceInRun, LogLine, RunState } from "../record/run-state.ts";
import type { Timetable } from "../time/earliest-times.ts";
import { debriefLanes } from "./debrief-steps.ts";
import type { DebriefLane } from "./debrief-steps.ts";
import { roleAndLane } from "./desk-view.ts";
import { authorWords, checkWords, deviceName, entryDetail } from "./entry-words.ts";
import { holdViews } from "./hold-view.ts";
import type { HoldView } from "./hold-view.ts";
import { injectViews } from "./inject-view.ts";
import type { InjectView } from "./inject-view.ts";
import { recoveryDeviceOf } from "./recovery-device.ts";
import { recordTimeWords, timeErrors, timeErrorWords } from "./time-error.ts";
import {
  blockWords,
  entryKindWords,
  outcomeWords,
  positionName,
  stepName,
  varianceCauseWords,
} from "./words.ts";

/** What the debrief shows. Seconds are from the run's start, negative before it. */
export type DebriefView = {
  readonly lanes: readonly DebriefLane[];
  /** Steps in play that were not done, by lane. */
  readonly notDone: readonly NotDone[];
  readonly holds: readonly DebriefHold[];
  readonly variances: readonly DebriefFact[];
  readonly injects: readonly InjectView[];
  readonly notes: readonly DebriefFact[];
  readonly oddities: readonly DebriefFact[];
  readonly checks: readonly DebriefFact[];
  /** Entries that changed nothing, and why. */
  readonly setAside: readonly DebriefFact[];
  readonly devices: readonly DebriefDevice[];
  readonly totals: DebriefTotals;
  /** What the record's times are worth, in a sentence. */
  readonly times: string;
};

/** A step in play that was not done, and why. */
type NotDone = {
  readonly name: string;
  readonly text: string;
  readonly state: DebriefLane["steps"][number]["state"];
  readonly reason: string | null;
};

/** A hold with who acknowledged and who released it. */
export type DebriefHold = HoldView & {
  readonly raisedSeconds: number | null;
  readonly releasedBy: string | null;
  /** Who acknowledged it and how long after it was raised: "EV1 after 12 s". */
  readonly acknowledgements: readonly {
    readonly name: string;
    readonly by: string;
    readonly afterSeconds: number;
  }[];
};

/** One fact with its time, its author and what it says. */
export type DebriefFact = {
  readonly key: string;
  readonly atSeconds: number | null;
  readonly by: string;
  /** What it is about: the step or the kind. */
  readonly about: string;
  readonly text: string;
};

/** A device of the run and how much of the record is from it. */
type DebriefDevice = {
  readonly device: DeviceId;
  readonly name: string;
  readonly role: string;
  readonly entryCount: number;
  readonly isStruckOff: boolean;
  /** What its times are worth: "times good to 40 ms"; empty if it wrote nothing. */
  readonly times: string;
};

/** The run in figures. */
export type DebriefTotals = {
  readonly doneCount: number;
  readonly inPlayCount: number;
  readonly ranSeconds: number | null;
  readonly plannedSeconds: number;
  /** Time during which a hold on everyone stood. */
  readonly heldEveryoneSeconds: number;
};

/** What the debrief is made from. */
export type DebriefGround = {
  readonly index: ProcedureIndex;
  readonly planned: Timetable;
  readonly entries: readonly Entry[];
  readonly state: RunState;
  readonly nowMs: number;
};

/** The debrief of a run, over or not. */
export function debriefView(ground: DebriefGround): DebriefView {
  const { index, planned, state, nowMs } = ground;
  const lanes = debriefLanes(index, planned, state);
  const notes = state.notes.map((note) => noteFact(ground, note));
  return {
    lanes,
    notDone: lanes.flatMap((lane) => notDoneOf(index, lane)),
    holds: holdViews(index, state, nowMs).map((hold) => debriefHold(ground, hold)),
    variances: state.variances.map((variance) => varianceFact(ground, variance)),
    // The script is for directors' devices; every device must show the same here.
    injects: injectViews(index, null, state, nowMs),
    notes: notes.filter((_, at) => state.notes[at]?.oddity === false),
    oddities: notes.filter((_, at) => state.notes[at]?.oddity === true),
    checks: state.checks.map((check) => checkFact(ground, check)),
    setAside: setAsideFacts(ground),
    devices: devicesOf(ground),
    totals: totalsOf(ground, lanes),
    times: recordTimeWords(state),
  };
}

function notDoneOf(index: ProcedureIndex, lane: DebriefLane): readonly NotDone[] {
  return lane.steps
    .filter((step) => step.state !== "done")
    .map((step) => ({
      name: stepName(index, step.step),
      text: step.text,
      state: step.state,
      reason: step.reason,
    }));
}

function fromStart(state: RunState, ms: number): number | null {
  return state.startedAtMs === null ? null : (ms - state.startedAtMs) / 1000;
}

function debriefHold({ index, state, entries }: DebriefGround, hold: HoldView): DebriefHold {
  const atMs = new Map(state.log.map((line) => [keyOf(line.by), line.atMs] as const));
  const about = (kind: "hold.acknowledged" | "hold.released") =>
    entries
      .filter((entry) => entry.body.kind === kind && namesHold(entry, hold.hold))
      .map((entry) => ({ entry, atMs: atMs.get(keyOf(entry)) ?? entry.wallMs }))
      .toSorted((a, b) => a.atMs - b.atMs);
  const release = about("hold.released").find(({ atMs: ms }) => ms === hold.releasedAtMs);
  return {
    ...hold,
    raisedSeconds: fromStart(state, hold.raisedAtMs),
    releasedBy: release === undefined ? null : entryAuthor(index, state, release.entry),
    acknowledgements: about("hold.acknowledged").map(({ entry, atMs: ms }) => ({
      name: entryDetail(index, state, entry.body),
      by: entryAuthor(index, state, entry),
      afterSeconds: Math.max(0, ms - hold.raisedAtMs) / 1000,
    })),
  };
}

function namesHold(entry: Entry, hold: HoldId): boolean {
  return "hold" in entry.body && entry.body.hold === hold;
}

function keyOf(name: { readonly device: DeviceId; readonly seq: number }): string {
  return `${name.device}:${name.seq}`;
}

function entryAuthor(index: ProcedureIndex, state: RunState, entry: Entry): string {
  return authorWords(index, state, { by: entry, position: entry.position });
}

function varianceFact(
  { index, state }: DebriefGround,
  variance: RunState["variances"][number],
): DebriefFact {
  const blocks = variance.blocks.map((block) => blockWords(index, variance.step, block));
  const cause = varianceCauseWords[variance.cause];
  return {
    key: `${keyOf(variance.by)} ${variance.cause}`,
    atSeconds: fromStart(state, variance.atMs),
    by: authorWords(index, state, variance),
    about: [entryKindWords[variance.kind], stepOrNothing(index, variance.step)]
      .filter((part) => part !== "")
      .join(": "),
    text: blocks.length === 0 ? cause : `${cause} In the way: ${blocks.join("; ")}.`,
  };
}

function stepOrNothing(index: ProcedureIndex, step: LogLine["step"]): string {
  return step === null ? "" : stepName(index, step);
}

function noteFact({ index, state }: DebriefGround, note: RunState["notes"][number]): DebriefFact {
  return {
    key: keyOf(note.by),
    atSeconds: fromStart(state, note.atMs),
    by: authorWords(index, state, note),
    about: stepOrNothing(index, note.step),
    text: note.text,
  };
}

function checkFact({ index, state }: DebriefGround, made: RunState["checks"][number]): DebriefFact {
  return {
    key: keyOf(made.by),
    atSeconds: fromStart(state, made.atMs),
    by: authorWords(index, state, made),
    about: positionName(index, made.position),
    text: checkWords(index, made),
  };
}

// An entry that stands for another which this device may not read yet is nothing to debrief on.
function setAsideFacts(ground: DebriefGround): readonly DebriefFact[] {
  const { index, state, entries } = ground;
  const logged = new Set(state.log.map((line) => keyOf(line.by)));
  const unplaced = entries.filter((entry) => !logged.has(keyOf(entry)));
  return [
    ...state.log
      .filter((line) => line.outcome !== "applied" && line.kind !== "entry.withheld")
      .map((line) => logFact(ground, line)),
    ...unplaced.map((entry) => ({
      key: `unplaced ${keyOf(entry)}`,
      atSeconds: null,
      by: entryAuthor(index, state, entry),
      about: entryKindWords[entry.body.kind],
      text: "No place in the order: an entry before it is missing, or two bear one number.",
    })),
  ];
}

function logFact({ index, state }: DebriefGround, line: LogLine): DebriefFact {
  return {
    key: keyOf(line.by),
    atSeconds: fromStart(state, line.atMs),
    by: authorWords(index, state, line),
    about: [entryKindWords[line.kind], stepOrNothing(index, line.step)]
      .filter((part) => part !== "")
      .join(": "),
    text: outcomeWords[line.outcome],
  };
}

function devicesOf({ index, state, entries }: DebriefGround): readonly DebriefDevice[] {
  const counts = new Map<DeviceId, number>();
  for (const entry of entries) counts.set(entry.device, (counts.get(entry.device) ?? 0) + 1);
  const errors = timeErrors(state.log);
  const devices = Object.entries(state.devices) as [DeviceId, DeviceInRun][];
  // A recovery code that nobody used is no device.
  const recovery = recoveryDeviceOf(entries);
  return devices
    .filter(([device]) => device !== recovery || counts.has(device))
    .map(([device, inRun]) => ({
      device,
      name: deviceName(state, device),
      role: roleAndLane(index, inRun.role, inRun.lane),
      entryCount: counts.get(device) ?? 0,
      isStruckOff: inRun.struckOffAtMs !== null,
      times: timesOf(errors.get(device)),
    }))
    .toSorted((a, b) =>
      a.name === b.name ? compareText(a.device, b.device) : compareText(a.name, b.name),
    );
}

function timesOf(errorMs: number | null | undefined): string {
  return errorMs === undefined ? "" : timeErrorWords(errorMs);
}

function compareText(a: string, b: string): number {
  if (a === b) return 0;
  return a < b ? -1 : 1;
}

function totalsOf(
  { state, planned, nowMs }: DebriefGround,
  lanes: readonly DebriefLane[],
): DebriefTotals {
  const steps = lanes.flatMap((lane) => lane.steps);
  return {
    doneCount: steps.filter((step) => step.state === "done").length,
    inPlayCount: steps.length,
    ranSeconds: fromStart(state, state.closedAtMs ?? nowMs),
    plannedSeconds: planned.endSeconds,
    heldEveryoneSeconds: heldEveryoneMs(state, nowMs) / 1000,
  };
}

// Holds on everyone may lie over one another; each moment counts once.
function heldEveryoneMs(state: RunState, nowMs: number): number {
  const spans = Object.values(state.holds)
    .filter((hold) => hold.scope.covers === "everyone")
    .map((hold) => ({
      fromMs: hold.raisedAtMs,
      toMs: hold.releasedAtMs ?? state.closedAtMs ?? nowMs,
    }))
    .toSorted((a, b) => a.fromMs - b.fromMs);
  let heldMs = 0;
  let countedToMs = Number.NEGATIVE_INFINITY;
  for (const { fromMs, toMs } of spans) {
    heldMs += Math.max(0, toMs - Math.max(fromMs, countedToMs));
    countedToMs = Math.max(countedToMs, toMs);
  }
  return heldMs;
}

// What one entry says, as a sentence: for logs, exports and the debrief.

import type { BranchId, CheckId, PositionId, ReadingId, StepId } from "../procedure/ids.ts";
import type { ProcedureIndex } from "../procedure/procedure-index.ts";
import type { EntryBody, EntryName } from "../record/entry.ts";
import type { DeviceId } from "../record/ids.ts";
import type { RunState } from "../record/run-state.ts";
import { gradeWords, itemName, placeWords, positionName, roleWords, scopeWords } from "./words.ts";

/** The name that a device goes by in the run; the beginning of its id if it has none. */
export function deviceName(state: RunState, device: DeviceId): string {
  return state.devices[device]?.name ?? device.slice(0, 8);
}

/** For whom and on which device: "EV1 (EV1 tablet)"; the device alone where it concerns no position. */
export function authorWords(
  index: ProcedureIndex,
  state: RunState,
  author: { readonly by: EntryName; readonly position: PositionId | null },
): string {
  const device = deviceName(state, author.by.device);
  if (author.position === null) return device;
  return `${positionName(index, author.position)} (${device})`;
}

/**
 * What an entry says besides its kind and its step: the reason, the count, the reading, the card.
 * Empty where the kind says it all.
 */
export function entryDetail(index: ProcedureIndex, state: RunState, body: EntryBody): string {
  switch (body.kind) {
    case "run.opened":
      return body.title;
    case "run.terminated":
    case "run.aborted":
    case "run.real-stop-called":
    case "run.resumed":
    case "step.deferred":
    case "step.not-performed":
    case "hold.requested":
    case "gate.overridden":
    case "entry.withdrawn":
      return body.reason;
    case "device.joined":
      return joinedWords(index, body);
    case "device.struck-off":
      return `${deviceName(state, body.struckOff)}: ${body.reason}`;
    case "step.partly-done":
      return `Remains: ${body.remains}`;
    case "gate.count-reported":
      return String(body.count);
    case "gate.reading-reported":
      return body.unit === "1" ? String(body.value) : `${body.value} ${body.unit}`;
    case "hold.raised":
      return `${scopeWords(index, body.scope)}: ${body.reason}`;
    case "hold.acknowledged":
      return positionName(index, body.lane);
    case "item.sighted":
      return `${itemName(index, body.item)} ${placeWords(index, body.at)}`;
    case "note.added":
      return body.oddity ? `Oddity: ${body.text}` : body.text;
    case "clock.sampled":
      return `${body.offsetMs} ms`;
    case "clock.jumped":
      return `${body.byMs} ms`;
    case "branch.chosen":
      return branchWords(index, body.step, body.branch);
    case "inject.fired":
      return `${body.name}: ${body.card}`;
    case "inject.armed":
    case "inject.cleared":
      return state.injects[body.inject]?.name ?? body.inject;
    case "inject.responded":
      return body.text;
    case "inject.graded":
      return [gradeWords[body.grade], body.remark].filter((part) => part !== "").join(": ");
    case "check.recorded":
      return checkWords(index, body);
    case "run.started":
    case "run.real-stop-acknowledged":
    case "run.closing-started":
    case "run.closed":
    case "step.started":
    case "step.done":
    case "gate.acknowledged":
    case "gate.readback-confirmed":
    case "gate.go-given":
    case "hold.released":
    case "entry.withheld":
      return "";
  }
}

function branchWords(index: ProcedureIndex, step: StepId, branch: BranchId): string {
  const branches = index.stepsById.get(step)?.choice?.branches ?? [];
  return branches.find((candidate) => candidate.id === branch)?.label ?? branch;
}

/** What a check was and read: "Suit check; Suit pressure 29.5 kPa"; says which reading is outside its limits. */
export function checkWords(
  index: ProcedureIndex,
  made: {
    readonly check: CheckId;
    readonly readings: Readonly<Record<ReadingId, number>>;
  },
): string {
  const check = index.checksById.get(made.check);
  const readings = (check?.readings ?? []).flatMap((reading) => {
    const value = made.readings[reading.id];
    if (value === undefined) return [];
    const isOutside =
      (reading.min !== null && value < reading.min) ||
      (reading.max !== null && value > reading.max);
    const unit = reading.unit === "1" ? "" : ` ${reading.unit}`;
    return [`${reading.label} ${value}${unit}${isOutside ? " (outside limits)" : ""}`];
  });
  return [check?.name ?? made.check, ...readings].join("; ");
}

function joinedWords(
  index: ProcedureIndex,
  body: Extract<EntryBody, { kind: "device.joined" }>,
): string {
  const role = roleWords[body.role];
  const lane = body.lane === null ? "" : `, lane ${positionName(index, body.lane)}`;
  return `${body.deviceName}: ${role}${lane}`;
}

// Every gate of a step: those that its hazards bring by themselves, then those that the author
// wrote.
//
// [gates 1] Each caution brings a caution gate, each warning a warning gate, both before the start;
//   a note brings none.
// [gates 2] Ids are "caution-1", "caution-2" … and "warning-1" …, counted in the order of the
//   step's hazards; the reader of procedures refuses an author's gate of such a name.
// [gates 3] Cautions come first, then warnings, then the author's gates in their own order.
// What opens each gate is in `charts/gate.chart.ts`.

import type { GateId } from "./ids.ts";
import type { CountGate, GoGate, Hazard, ReadingGate, Step } from "./step.ts";

/** Any gate. */
export type Gate = CautionGate | WarningGate | CountGate | ReadingGate | GoGate;

/** What a gate waits for. */
export type GateSort = Gate["sort"];

/** Opens when the lane acknowledges the caution. */
export type CautionGate = {
  readonly id: GateId;
  readonly sort: "caution";
  readonly before: "start";
  readonly hazard: Hazard;
};

/**
 * Opens when the lane has acknowledged the warning and a second position confirmed the read-back.
 */
export type WarningGate = {
  readonly id: GateId;
  readonly sort: "warning";
  readonly before: "start";
  readonly hazard: Hazard;
};

/**
 * All gates of a step, in the order in which they are shown.
 *
 * Errors: none.
 */
export function gatesOfStep(step: Step): Gate[] {
  const cautions = step.hazards.filter((hazard) => hazard.word === "caution");
  const warnings = step.hazards.filter((hazard) => hazard.word === "warning");
  return [
    ...cautions.map((hazard, index) => cautionGate(hazard, index + 1)),
    ...warnings.map((hazard, index) => warningGate(hazard, index + 1)),
    ...step.gates,
  ];
}

/** Whether an author's gate may not have this id, because hazards bring gates of such a name. */
export function isHazardGateId(id: string): boolean {
  return /^(caution|warning)-[1-9][0-9]*$/.test(id);
}

function cautionGate(hazard: Hazard, number: number): CautionGate {
  return { id: `caution-${number}` as GateId, sort: "caution", before: "start", hazard };
}

function warningGate(hazard: Hazard, number: number): WarningGate {
  return { id: `warning-${number}` as GateId, sort: "warning", before: "start", hazard };
}

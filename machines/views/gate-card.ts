// The gates of a step as a screen shows them: how each stands, who may do what to it, in words.
//
// [gate-card 1] A warning shows the lane's acknowledgement and the readback's confirmation apart.
// [gate-card 2] Which act is open to this device follows from its role and lane; a gate that waits
//   for somebody else says for whom.

import type { GateId, PositionId } from "../procedure/ids.ts";
import type { Unit } from "../units/quantity.ts";
import type { ReadingGate, Step } from "../procedure/step.ts";
import type { ProcedureIndex } from "../procedure/procedure-index.ts";
import type { Gate } from "../procedure/gates-of-step.ts";
import type { GateInRun, GateState, StepInRun } from "../record/run-state.ts";
import { formatQuantity } from "../units/format-quantity.ts";
import { mayActFor, readbackPosition } from "./may-act.ts";
import type { Tapper } from "./may-act.ts";
import { positionName } from "./words.ts";

/** A gate as a screen shows it. */
export type GateCard = {
  readonly gate: GateId;
  readonly sort: Gate["sort"];
  readonly before: "start" | "done";
  readonly state: GateState;
  /** What it is: the hazard's text, the count's or reading's label, why a GO is needed. */
  readonly label: string;
  /** How it stands and for whom it waits: "Read back to IV", "3 of 4", "Open". */
  readonly standsWords: string;
  /** What this device may do to it now. */
  readonly act: GateAct;
  /** Count and reading gates. */
  readonly target: number | null;
  readonly unit: Unit | null;
  readonly limitsWords: string | null;
  readonly limits: { readonly min: number | null; readonly max: number | null } | null;
  readonly lastReport: number | null;
  readonly mayOverride: boolean;
};

/** What can be done to a gate by this device. `as`: for which position. */
export type GateAct =
  | { readonly act: "none" }
  | { readonly act: "acknowledge" | "report-count" | "report-reading"; readonly as: PositionId }
  | { readonly act: "confirm-readback" | "give-go"; readonly as: PositionId };

/** The cards of all gates of a step, in order. */
export function gateCards(
  index: ProcedureIndex,
  inRun: StepInRun,
  step: Step,
  tapper: Tapper,
): GateCard[] {
  return (index.gatesByStep.get(step.id) ?? []).map((gate) => {
    const standing = inRun.gates[gate.id] ?? closedGate;
    const reads = gate.sort === "count" || gate.sort === "reading";
    return {
      gate: gate.id,
      sort: gate.sort,
      before: gate.before,
      state: standing.state,
      label: gateLabel(gate),
      standsWords: standsWords(index, step, gate, standing),
      act: gateAct(index, step, { gate, standing }, tapper),
      target: gate.sort === "count" ? gate.target : null,
      unit: gate.sort === "reading" ? gate.unit : null,
      limitsWords: gate.sort === "reading" ? limitsWords(gate) : null,
      limits: gate.sort === "reading" ? { min: gate.min, max: gate.max } : null,
      lastReport: standing.reports.at(-1)?.value ?? null,
      mayOverride: reads && !isOpen(standing) && mayActFor(tapper, step.lane),
    };
  });
}

/** Limits as words: "from 28 to 31 kPa", "at least 95 kPa"; null where there are none. */
export function limitsWords(limits: Pick<ReadingGate, "min" | "max" | "unit">): string | null {
  const { min, max, unit } = limits;
  const least = min === null ? "" : formatQuantity({ value: min, unit });
  const most = max === null ? "" : formatQuantity({ value: max, unit });
  if (min !== null && max !== null)
    return `from ${formatQuantity({ value: min, unit: "1" })} to ${most}`;
  if (min !== null) return `at least ${least}`;
  return max === null ? null : `at most ${most}`;
}

/** Whether a value lies within limits, both included. */
export function isWithin(
  value: number,
  limits: { readonly min: number | null; readonly max: number | null },
): boolean {
  const { min, max } = limits;
  return (min === null || value >= min) && (max === null || value <= max);
}

const closedGate: GateInRun = {
  state: "closed",
  acknowledgedBy: null,
  openedBy: null,
  reports: [],
  reason: null,
};

function isOpen(gate: GateInRun): boolean {
  return gate.state === "open" || gate.state === "overridden";
}

function gateLabel(gate: Gate): string {
  if (gate.sort === "caution" || gate.sort === "warning") return gate.hazard.text;
  return gate.sort === "go" ? gate.reason : gate.label;
}

function standsWords(index: ProcedureIndex, step: Step, gate: Gate, standing: GateInRun): string {
  if (standing.state === "overridden") return `Overridden: ${standing.reason ?? ""}`;
  switch (gate.sort) {
    case "caution":
      return standing.state === "open" ? "Acknowledged" : "To be acknowledged";
    case "warning":
      if (standing.state === "open") return "Acknowledged, readback confirmed";
      return standing.state === "acknowledged"
        ? `Waiting for the readback to be confirmed by ${confirmers(index, step.lane)}`
        : "To be acknowledged and read back";
    case "go":
      return standing.state === "open"
        ? `GO from ${positionName(index, gate.from)}`
        : `Waiting for GO from ${positionName(index, gate.from)}. Meanwhile: ${gate.meanwhile}`;
    case "count":
      return `${standing.reports.at(-1)?.value ?? 0} of ${gate.target}`;
    case "reading":
      return readingWords(standing);
  }
}

function readingWords(standing: GateInRun): string {
  const last = standing.reports.at(-1);
  if (last === undefined) return "No reading yet";
  const shown = formatQuantity({ value: last.value, unit: last.unit });
  return standing.state === "open" ? `${shown}, within limits` : `${shown}, outside limits`;
}

function confirmers(index: ProcedureIndex, lane: PositionId): string {
  const inside = index.procedure.positions.filter(
    (position) => position.id !== lane && position.sort === "inside",
  );
  return inside.length === 0 ? "a second position" : inside.map((one) => one.name).join(" or ");
}

function gateAct(
  index: ProcedureIndex,
  step: Step,
  at: { readonly gate: Gate; readonly standing: GateInRun },
  tapper: Tapper,
): GateAct {
  const { gate, standing } = at;
  const none = { act: "none" } as const;
  if (isOpen(standing) && gate.sort !== "count" && gate.sort !== "reading") return none;
  if (gate.sort === "go") {
    return mayActFor(tapper, gate.from) ? { act: "give-go", as: gate.from } : none;
  }
  if (gate.sort === "warning" && standing.state === "acknowledged") {
    const as = readbackPosition(index, tapper, step.lane);
    return as === null ? none : { act: "confirm-readback", as };
  }
  if (!mayActFor(tapper, step.lane)) return none;
  if (gate.sort === "count") return { act: "report-count", as: step.lane };
  if (gate.sort === "reading") return { act: "report-reading", as: step.lane };
  return { act: "acknowledge", as: step.lane };
}

// Entries about gates.
//
// [fold-gates 1] A warning opens when one position has acknowledged it and another has confirmed
//   the read-back, in whichever order; a confirmation for the position that acknowledged is set
//   aside.
// [fold-gates 2] Counts and readings are all kept; the last one decides. One that differs from the
//   last of another device is a variance.
// [fold-gates 3] A reading outside its limits is a variance; so is an override.
// [fold-gates 4] What does not belong to the sort of gate changes nothing.

import { nextState } from "../charts/chart-table.ts";
import { gateTable } from "../charts/gate.chart.ts";
import type { GateChartEvent } from "../charts/gate.chart.ts";
import type { Quantity } from "../units/quantity.ts";
import { convert, dimensionOf } from "../units/factors.ts";
import type { Unit } from "../units/quantity.ts";
import type { EntryBody } from "./entry.ts";
import { noteVariance } from "./note-variance.ts";
import { stepToWrite } from "./run-in-fold.ts";
import type { GateAct, GateInFold, Outcome, RunInFold, Turn } from "./run-in-fold.ts";
import type { GateReport } from "./run-state.ts";

type GateBody = Extract<EntryBody, { readonly kind: `gate.${string}` }>;

/** Folds an entry about a gate. */
export function foldGate(runMutable: RunInFold, turn: Turn, body: GateBody): Outcome {
  const gate = stepToWrite(runMutable, body.step)?.gates.get(body.gate);
  if (gate === undefined || !belongs(gate, body.kind)) {
    noteVariance(runMutable, turn, "out-of-order");
    return "no-effect";
  }
  const act: GateAct = { name: turn.name, actingAs: actingAs(turn), body };
  if (body.kind === "gate.readback-confirmed" && gate.acknowledgedAs === act.actingAs) {
    noteVariance(runMutable, turn, "beyond-rights", [{ on: "gate", gate: body.gate }]);
    return "set-aside";
  }
  noteDifference(runMutable, turn, gate, body);
  noteLimits(runMutable, turn, gate, body);
  gate.acts.push(act);
  return applyGateAct(gate, act) ? "applied" : "no-effect";
}

/** What a gate has come to without an act that was taken out of its acts. */
export function refoldGate(gateMutable: GateInFold): void {
  gateMutable.state = nextState(gateTable, gateMutable.state, { type: "gate.closed" }) ?? "closed";
  gateMutable.acknowledgedBy = null;
  gateMutable.acknowledgedAs = null;
  gateMutable.openedBy = null;
  gateMutable.reason = null;
  gateMutable.confirmations.length = 0;
  gateMutable.reports.length = 0;
  gateMutable.lastReports.clear();
  for (const act of gateMutable.acts) applyGateAct(gateMutable, act);
}

/** Whether a value lies within limits; null: no limit on that side. */
export function isWithinLimits(
  value: number,
  limits: { readonly min: number | null; readonly max: number | null },
): boolean {
  return (
    (limits.min === null || value >= limits.min) && (limits.max === null || value <= limits.max)
  );
}

function actingAs(turn: Turn): string {
  return turn.entry.position ?? turn.author.lane ?? `device ${turn.entry.device}`;
}

const kindsBySort: Readonly<Record<GateInFold["gate"]["sort"], readonly GateBody["kind"][]>> = {
  caution: ["gate.acknowledged", "gate.overridden"],
  warning: ["gate.acknowledged", "gate.readback-confirmed", "gate.overridden"],
  count: ["gate.count-reported", "gate.overridden"],
  reading: ["gate.reading-reported", "gate.overridden"],
  go: ["gate.go-given", "gate.overridden"],
};

function belongs({ gate }: GateInFold, kind: GateBody["kind"]): boolean {
  return kindsBySort[gate.sort].includes(kind);
}

// Applies an act; tells whether it changed anything.
function applyGateAct(gateMutable: GateInFold, act: GateAct): boolean {
  const { body, name } = act;
  const wasReported = addReport(gateMutable, act);
  if (body.kind === "gate.readback-confirmed") {
    gateMutable.confirmations.push({ name, actingAs: act.actingAs });
  }
  const next = nextState(gateTable, gateMutable.state, gateEvent(gateMutable, act));
  if (next === undefined) return wasReported || isEarlyConfirmation(gateMutable, act);
  if (body.kind === "gate.acknowledged") {
    gateMutable.acknowledgedBy = name;
    gateMutable.acknowledgedAs = act.actingAs;
  }
  if (body.kind === "gate.overridden") gateMutable.reason = body.reason;
  if (next !== gateMutable.state) gateMutable.openedBy = opener(gateMutable, act, next);
  gateMutable.state = next;
  return true;
}

function isEarlyConfirmation(gate: GateInFold, { body }: GateAct): boolean {
  return body.kind === "gate.readback-confirmed" && gate.state === "closed";
}

// A read-back that was confirmed before it was acknowledged was opened by the one who confirmed.
function opener(gate: GateInFold, act: GateAct, next: GateInFold["state"]): GateInFold["openedBy"] {
  if (next === "closed" || next === "acknowledged") return null;
  if (gate.gate.sort !== "warning" || act.body.kind !== "gate.acknowledged") return act.name;
  return gate.confirmations.find(({ actingAs: other }) => other !== act.actingAs)?.name ?? act.name;
}

function gateEvent(gate: GateInFold, { body, actingAs: acting }: GateAct): GateChartEvent {
  switch (body.kind) {
    case "gate.acknowledged":
      return {
        type: body.kind,
        needsReadback: gate.gate.sort === "warning",
        confirmed: gate.confirmations.some((confirmation) => confirmation.actingAs !== acting),
      };
    case "gate.readback-confirmed":
      return { type: body.kind, secondPosition: acting !== gate.acknowledgedAs };
    case "gate.count-reported": {
      const reached = gate.gate.sort === "count" && body.count >= gate.gate.target;
      return { type: body.kind, reached };
    }
    case "gate.reading-reported":
      return { type: body.kind, within: isReadingWithin(gate, body) };
    case "gate.go-given":
    case "gate.overridden":
      return { type: body.kind };
  }
}

function isReadingWithin({ gate }: GateInFold, reading: Quantity): boolean {
  if (gate.sort !== "reading") return false;
  const value = inUnit(reading, gate.unit);
  return value !== null && isWithinLimits(value, gate);
}

// Null: the units measure different things.
function inUnit(quantity: Quantity, unit: Unit): number | null {
  const isSame = dimensionOf(quantity.unit) === dimensionOf(unit);
  return isSame ? convert(quantity, unit) : null;
}

function addReport(gateMutable: GateInFold, { name, body }: GateAct): boolean {
  const report = reportOf(name, body);
  if (report === null) return false;
  gateMutable.reports.push(report);
  gateMutable.lastReports.set(name.device, report);
  return true;
}

function reportOf(by: GateReport["by"], body: GateBody): GateReport | null {
  if (body.kind === "gate.count-reported") return { by, value: body.count, unit: "1" };
  if (body.kind === "gate.reading-reported") return { by, value: body.value, unit: body.unit };
  return null;
}

function noteDifference(runMutable: RunInFold, turn: Turn, gate: GateInFold, body: GateBody): void {
  const report = reportOf(turn.name, body);
  if (report === null) return;
  for (const [device, other] of gate.lastReports) {
    if (device === report.by.device || inUnit(other, report.unit) === report.value) continue;
    noteVariance(runMutable, turn, "reports-differ", [{ on: "gate", gate: gate.gate.id }]);
    return;
  }
}

function noteLimits(runMutable: RunInFold, turn: Turn, gate: GateInFold, body: GateBody): void {
  const isOutside = body.kind === "gate.reading-reported" && !isReadingWithin(gate, body);
  if (body.kind !== "gate.overridden" && !isOutside) return;
  noteVariance(runMutable, turn, "limit-exceeded", [{ on: "gate", gate: gate.gate.id }]);
}

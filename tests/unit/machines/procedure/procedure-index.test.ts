import { expect, test } from "vitest";
import type { MeetId, PositionId, StepId, TaskId } from "../../../../machines/procedure/ids.ts";
import { indexProcedure } from "../../../../machines/procedure/procedure-index.ts";
import { aProcedure } from "../../../support/a-procedure.ts";

const procedure = aProcedure();
const index = indexProcedure(procedure);
const ids = (steps: readonly { id: StepId }[] | undefined): string[] =>
  (steps ?? []).map((step) => step.id);

const previous = (id: string) => index.previousInLane.get(id as StepId)?.id;
const next = (id: string) => index.nextInLane.get(id as StepId)?.id;

test("[procedure-index 1] every part is found by its id, and is the part itself", () => {
  const pairs: [ReadonlyMap<string, unknown>, readonly { id: string }[]][] = [
    [index.positionsById, procedure.positions],
    [index.sitesById, procedure.sites],
    [index.pathsById, procedure.paths],
    [index.itemsById, procedure.items],
    [index.tethersById, procedure.tethers],
    [index.armsById, procedure.arms],
    [index.hardwareById, procedure.hardware],
    [index.meetsById, procedure.meets],
    [index.tasksById, procedure.tasks],
    [index.stepsById, procedure.steps],
    [index.clocksById, procedure.clocks],
    [index.windowsById, procedure.windows],
    [index.checksById, procedure.recurringChecks],
  ];
  for (const [map, parts] of pairs) {
    expect([...map]).toEqual(parts.map((part) => [part.id, part]));
  }
});

test("[procedure-index 2] lanes stand in the order of positions, with their steps in order", () => {
  expect(index.lanes).toEqual(["ev1", "ev2", "iv"]);
  expect(ids(index.stepsByLane.get("ev2" as PositionId))).toEqual([
    "ev2-to-rack",
    "ev2-meet",
    "ev2-seal",
    "ev2-home",
  ]);
});

test("[procedure-index 2] a position without steps has an empty lane", () => {
  const quiet = indexProcedure(aProcedure({ steps: [] }));
  expect([...quiet.stepsByLane]).toEqual([
    ["ev1", []],
    ["ev2", []],
    ["iv", []],
  ]);
});

test("[procedure-index 1] neighbours are those of the lane, not of the document", () => {
  expect(previous("ev1-to-rack")).toBeUndefined();
  expect(previous("ev2-meet")).toBe("ev2-to-rack");
  expect(next("ev2-to-rack")).toBe("ev2-meet");
  expect(next("ev2-home")).toBeUndefined();
});

test("[procedure-index 1] meets, tasks, order numbers, gates and contingency steps are known", () => {
  expect(ids(index.stepsByMeet.get("meet-1" as MeetId))).toEqual(["ev1-meet", "ev2-meet"]);
  expect(ids(index.stepsByTask.get("stuck-bolt" as TaskId))).toEqual(["ev1-back-off"]);
  expect([...index.contingencySteps]).toEqual(["ev1-back-off"]);
  expect([...index.orderNumbers.values()]).toEqual(procedure.steps.map((_step, place) => place));
  const gates = index.gatesByStep.get("ev1-torque" as StepId) ?? [];
  expect(gates.map((gate) => gate.id)).toEqual(["warning-1", "go", "bolts"]);
});

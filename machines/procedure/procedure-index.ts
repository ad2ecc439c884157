// A procedure with its parts by id and its steps in their orders, so that nobody searches lists.
//
// Definition: a step is a *contingency step* if its task is a contingency task; it is in play only
//   once a choice has named the task.
// Definition: the *order number* of a step is its place in the document's list of steps, from 0.
// [procedure-index 1] It is a pure function of the procedure; every map's order is the document's.
// [procedure-index 2] Every lane of the procedure has a list of steps, be it empty; the order of
//   lanes is that of the positions.

import { gatesOfStep } from "./gates-of-step.ts";
import type { Gate } from "./gates-of-step.ts";
import type {
  ArmId,
  CheckId,
  ClockId,
  HardwareId,
  ItemId,
  MeetId,
  PathId,
  PositionId,
  SiteId,
  StepId,
  TaskId,
  TetherId,
  WindowId,
} from "./ids.ts";
import type {
  Arm,
  Clock,
  Hardware,
  Item,
  Meet,
  Path,
  Position,
  Procedure,
  RecurringCheck,
  Site,
  Task,
  Tether,
  TimeWindow,
} from "./procedure.ts";
import type { Step } from "./step.ts";

/** A procedure, its parts by id and its orders. */
export type ProcedureIndex = {
  readonly procedure: Procedure;
  readonly positionsById: ReadonlyMap<PositionId, Position>;
  readonly sitesById: ReadonlyMap<SiteId, Site>;
  readonly pathsById: ReadonlyMap<PathId, Path>;
  readonly itemsById: ReadonlyMap<ItemId, Item>;
  readonly tethersById: ReadonlyMap<TetherId, Tether>;
  readonly armsById: ReadonlyMap<ArmId, Arm>;
  readonly hardwareById: ReadonlyMap<HardwareId, Hardware>;
  readonly meetsById: ReadonlyMap<MeetId, Meet>;
  readonly tasksById: ReadonlyMap<TaskId, Task>;
  readonly stepsById: ReadonlyMap<StepId, Step>;
  readonly clocksById: ReadonlyMap<ClockId, Clock>;
  readonly windowsById: ReadonlyMap<WindowId, TimeWindow>;
  readonly checksById: ReadonlyMap<CheckId, RecurringCheck>;
  /** Every position, in the document's order. */
  readonly lanes: readonly PositionId[];
  /** Each lane's steps in order, contingency steps among them. */
  readonly stepsByLane: ReadonlyMap<PositionId, readonly Step[]>;
  /** The step before it in its own lane; a lane's first step has no entry. */
  readonly previousInLane: ReadonlyMap<StepId, Step>;
  /** The step after it in its own lane; a lane's last step has no entry. */
  readonly nextInLane: ReadonlyMap<StepId, Step>;
  readonly stepsByMeet: ReadonlyMap<MeetId, readonly Step[]>;
  readonly stepsByTask: ReadonlyMap<TaskId, readonly Step[]>;
  /** Place in the document's list of steps, from 0. */
  readonly orderNumbers: ReadonlyMap<StepId, number>;
  /** Every gate of each step; see `gatesOfStep`. */
  readonly gatesByStep: ReadonlyMap<StepId, readonly Gate[]>;
  /** Steps that are in play only once a choice has named their task. */
  readonly contingencySteps: ReadonlySet<StepId>;
};

/**
 * Indexes a procedure that the reader has passed.
 *
 * Errors: none; ids that do not exist, which the reader refuses, have no entry.
 */
export function indexProcedure(procedure: Procedure): ProcedureIndex {
  const tasksById = byId<TaskId, Task>(procedure.tasks);
  return {
    procedure,
    positionsById: byId<PositionId, Position>(procedure.positions),
    sitesById: byId<SiteId, Site>(procedure.sites),
    pathsById: byId<PathId, Path>(procedure.paths),
    itemsById: byId<ItemId, Item>(procedure.items),
    tethersById: byId<TetherId, Tether>(procedure.tethers),
    armsById: byId<ArmId, Arm>(procedure.arms),
    hardwareById: byId<HardwareId, Hardware>(procedure.hardware),
    meetsById: byId<MeetId, Meet>(procedure.meets),
    tasksById,
    clocksById: byId<ClockId, Clock>(procedure.clocks),
    windowsById: byId<WindowId, TimeWindow>(procedure.windows),
    checksById: byId<CheckId, RecurringCheck>(procedure.recurringChecks),
    ...indexSteps(procedure, tasksById),
  };
}

type StepOrders = Pick<
  ProcedureIndex,
  | "stepsById"
  | "lanes"
  | "stepsByLane"
  | "previousInLane"
  | "nextInLane"
  | "stepsByMeet"
  | "stepsByTask"
  | "orderNumbers"
  | "gatesByStep"
  | "contingencySteps"
>;

function indexSteps(procedure: Procedure, tasksById: ReadonlyMap<TaskId, Task>): StepOrders {
  const { steps, positions, meets, tasks } = procedure;
  const lanes = positions.map((position) => position.id);
  const stepsByLane = stepsByKey(lanes, steps, (step) => step.lane);
  const meetIds = meets.map((meet) => meet.id);
  const taskIds = tasks.map((task) => task.id);
  const contingency = steps.filter((step) => tasksById.get(step.task)?.contingency === true);
  return {
    stepsById: byId<StepId, Step>(steps),
    lanes,
    stepsByLane,
    previousInLane: neighbours(stepsByLane, -1),
    nextInLane: neighbours(stepsByLane, 1),
    stepsByMeet: stepsByKey(meetIds, steps, (step) => step.meet),
    stepsByTask: stepsByKey(taskIds, steps, (step) => step.task),
    orderNumbers: new Map(steps.map((step, index) => [step.id, index])),
    gatesByStep: new Map(steps.map((step) => [step.id, gatesOfStep(step)])),
    contingencySteps: new Set(contingency.map((step) => step.id)),
  };
}

function byId<Id, Part extends { readonly id: Id }>(parts: readonly Part[]): ReadonlyMap<Id, Part> {
  return new Map(parts.map((part) => [part.id, part]));
}

function stepsByKey<Key>(
  keys: readonly Key[],
  steps: readonly Step[],
  keyOf: (step: Step) => Key | null,
): ReadonlyMap<Key, readonly Step[]> {
  const lists = new Map<Key, Step[]>(keys.map((key) => [key, []]));
  for (const step of steps) {
    const key = keyOf(step);
    if (key !== null) lists.get(key)?.push(step);
  }
  return lists;
}

function neighbours(
  stepsByLane: ReadonlyMap<PositionId, readonly Step[]>,
  offset: -1 | 1,
): ReadonlyMap<StepId, Step> {
  const found = new Map<StepId, Step>();
  for (const steps of stepsByLane.values()) {
    for (const [index, step] of steps.entries()) {
      const neighbour = steps[index + offset];
      if (neighbour !== undefined) found.set(step.id, neighbour);
    }
  }
  return found;
}

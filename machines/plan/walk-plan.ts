// One walk through the plan, in the order of the steps' numbers, that notes what each step changes,
// relies on and uses; see `plan-state.ts` for what that proves.
//
// [walk-plan 1] A step's needs are noted before its effects, and its effects in their order.

import type { ProcedureIndex } from "../procedure/procedure-index.ts";
import type { Effect } from "../procedure/step.ts";
import { checkItemsEnd, checkTool, moveItem } from "./custody.ts";
import type { PlanOrder } from "./happens-before.ts";
import { checkPersonsEnd, checkSite, leaveRestraint, movePerson } from "./persons.ts";
import { createPlanState, needValue, stepAt, variableOf } from "./plan-state.ts";
import type { PlanState } from "./plan-state.ts";
import {
  checkConditions,
  checkHardwareEnd,
  enterRestraint,
  moveArm,
  setHardware,
} from "./prerequisites.ts";
import { checkTethered, workTether } from "./tethers.ts";

/** Walks a plan from its start to its end. Errors: none. */
export function walkPlan(index: ProcedureIndex, order: PlanOrder): PlanState {
  const state = createPlanState(index, order);
  for (const { id } of index.procedure.positions) checkTethered(state, -1, id);
  for (let number = 0; number < order.steps.length; number += 1) {
    checkSite(state, number);
    checkConditions(state, number);
    checkTool(state, number);
    for (const effect of stepAt(state, number).effects) applyEffect(state, number, effect);
  }
  checkPersonsEnd(state);
  checkItemsEnd(state);
  checkHardwareEnd(state);
  return state;
}

function applyEffect(state: PlanState, number: number, effect: Effect): void {
  switch (effect.kind) {
    case "item-moved":
      moveItem(state, number, effect);
      return;
    case "person-moved":
      movePerson(state, number, effect);
      return;
    case "tether-anchored":
    case "tether-released":
      workTether(state, number, effect);
      return;
    case "restraint-entered":
      enterRestraint(state, number, effect);
      return;
    case "restraint-left": {
      const restraint = variableOf(state, "restraint", effect.position);
      const values = [effect.item];
      needValue(state, restraint, { step: number, values, kind: "restraint-not-there" });
      leaveRestraint(state, number, effect.position);
      return;
    }
    case "hardware-set":
      setHardware(state, number, effect);
      return;
    case "arm-moved":
      moveArm(state, number, effect);
  }
}

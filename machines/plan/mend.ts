// Mends as data: small edits of a procedure.
//
// [mend 1] An edit changes nothing but what it names, and never the procedure it is given.
// [mend 2] A mend's edits take its finding away and bring no circle. It is tested by checking again, and
//   not yet true of every plan: two uses of an arm may be unordered in more ways than one.

import type { ItemId, MeetId, StepId } from "../procedure/ids.ts";
import type { Place } from "../procedure/place.ts";
import type { Procedure } from "../procedure/procedure.ts";
import type { Effect, Hazard, Step } from "../procedure/step.ts";

/** One small change. */
export type Edit =
  | { readonly edit: "add-after"; readonly step: StepId; readonly after: StepId }
  | { readonly edit: "remove-after"; readonly step: StepId; readonly after: StepId }
  | { readonly edit: "leave-meet"; readonly step: StepId; readonly meet: MeetId }
  | { readonly edit: "add-hazard"; readonly step: StepId; readonly hazard: Hazard }
  /** Has an effect that moves an item take it from where it is. */
  | {
      readonly edit: "take-from";
      readonly step: StepId;
      readonly item: ItemId;
      readonly from: Place;
    }
  /** Has an effect of a step come before the one it now follows: make before break. */
  | { readonly edit: "swap-effects"; readonly step: StepId; readonly first: number };

/** The procedure with the edits made. Errors: none; what an edit names and is not there stays. */
export function applyEdits(procedure: Procedure, edits: readonly Edit[]): Procedure {
  return edits.reduce(applyEdit, procedure);
}

function applyEdit(procedure: Procedure, edit: Edit): Procedure {
  switch (edit.edit) {
    case "add-after":
      return editStep(procedure, edit.step, (step) =>
        step.after.includes(edit.after) ? step : { ...step, after: [...step.after, edit.after] },
      );
    case "remove-after":
      return editStep(procedure, edit.step, (step) => ({
        ...step,
        after: step.after.filter((id) => id !== edit.after),
      }));
    case "leave-meet":
      return editStep(procedure, edit.step, (step) => ({ ...step, meet: null }));
    case "add-hazard":
      return editStep(procedure, edit.step, (step) => ({
        ...step,
        hazards: [...step.hazards, edit.hazard],
      }));
    case "take-from":
      return editStep(procedure, edit.step, (step) => takeFrom(step, edit.item, edit.from));
    case "swap-effects":
      return editStep(procedure, edit.step, (step) => swapEffects(step, edit.first));
  }
}

function editStep(procedure: Procedure, id: StepId, change: (step: Step) => Step): Procedure {
  const steps = procedure.steps.map((step) => (step.id === id ? change(step) : step));
  return { ...procedure, steps };
}

// Only the first effect on the item takes it from elsewhere; later ones follow the step's own.
function takeFrom(step: Step, item: ItemId, from: Place): Step {
  const first = step.effects.findIndex((e) => e.kind === "item-moved" && e.item === item);
  const effects = step.effects.map((effect, index): Effect =>
    index === first && effect.kind === "item-moved" ? { ...effect, from } : effect,
  );
  return { ...step, effects };
}

function swapEffects(step: Step, first: number): Step {
  const effects = [...step.effects];
  const [a, b] = [effects[first], effects[first + 1]];
  if (a === undefined || b === undefined) return step;
  effects[first] = b;
  effects[first + 1] = a;
  return { ...step, effects };
}

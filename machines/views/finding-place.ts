// Where a finding is, as lines of names.

import type { FindingPlace } from "../plan/finding.ts";
import { stepWords } from "../plan/plan-words.ts";
import type { ProcedureIndex } from "../procedure/procedure-index.ts";

/** Things of one sort that a finding is about. */
export type PlaceLine = {
  readonly label: string;
  readonly names: readonly string[];
  /** How many there are besides those named. */
  readonly more: number;
};

// A finding about time may name every step of a lane.
const namesMax = 6;

/** The lines that have names, lanes first. Errors: none; a thing that is not there keeps its id. */
export function placeLines(index: ProcedureIndex, where: FindingPlace): readonly PlaceLine[] {
  const lines: readonly PlaceLine[] = [
    lineOf("Lanes", lanesOf(index, where), nameIn(index.positionsById)),
    lineOf("Steps", where.steps, (id) => stepWords(index, id)),
    lineOf("Sites", where.sites, nameIn(index.sitesById)),
    lineOf("Items", where.items, nameIn(index.itemsById)),
    lineOf("Tethers", where.tethers, nameIn(index.tethersById)),
    lineOf("Hardware", where.hardware, nameIn(index.hardwareById)),
    lineOf("Arm", where.arms, nameIn(index.armsById)),
    lineOf("Tasks", where.tasks, nameIn(index.tasksById)),
    lineOf("Clocks", where.clocks, nameIn(index.clocksById)),
    lineOf("Windows", where.windows, nameIn(index.windowsById)),
  ];
  return lines.filter(({ names }) => names.length > 0);
}

// A lane is concerned if it is named or if one of its steps is.
function lanesOf(index: ProcedureIndex, { positions, steps }: FindingPlace) {
  const ofSteps = steps.flatMap((id) => index.stepsById.get(id)?.lane ?? []);
  return [...new Set([...positions, ...ofSteps])];
}

function lineOf<Id>(label: string, ids: readonly Id[], nameOf: (id: Id) => string): PlaceLine {
  const names = ids.slice(0, namesMax).map(nameOf);
  return { label, names, more: ids.length - names.length };
}

function nameIn<Id extends string>(
  things: ReadonlyMap<Id, { readonly name: string }>,
): (id: Id) => string {
  return (id) => things.get(id)?.name ?? id;
}

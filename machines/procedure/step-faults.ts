// Faults of steps and of the meets that steps name; see `procedure-faults.ts`.

import { idOf, rawParts } from "./document-parts.ts";
import type { DocumentParts, Located } from "./document-parts.ts";
import type { Fault } from "./fault.ts";
import { isHazardGateId } from "./gates-of-step.ts";
import type { Choice, Effect, Fasteners, Step, StepGate } from "./step.ts";
import { isObject } from "./read-shape.ts";
import {
  boundFaults,
  conditionFaults,
  doubledFaults,
  durationFaults,
  hardwareStateFaults,
  idFaults,
  listIdFaults,
  placeFaults,
  reachFaults,
  restraintFaults,
} from "./reference-faults.ts";

/** Faults of one step. */
export function stepFaults(parts: DocumentParts, { part: step, path }: Located<Step>): Fault[] {
  const { lane, task, site, meet, gates, requires, effects, choice, fasteners } = step;
  return [
    ...idFaults(parts, "positions", lane, `${path}/lane`),
    ...idFaults(parts, "tasks", task, `${path}/task`),
    ...(site === null ? [] : idFaults(parts, "sites", site, `${path}/site`)),
    ...durationFaults(step.duration, `${path}/duration`),
    ...doubledFaults(
      gates.map((gate) => gate.id),
      `${path}/gates`,
    ),
    ...gates.flatMap((gate, index) => gateFaults(parts, step, gate, `${path}/gates/${index}`)),
    ...requires.flatMap((condition, index) =>
      conditionFaults(parts, condition, `${path}/requires/${index}`),
    ),
    ...effects.flatMap((effect, index) => effectFaults(parts, effect, `${path}/effects/${index}`)),
    ...afterFaults(parts, step, path),
    ...(meet === null ? [] : idFaults(parts, "meets", meet, `${path}/meet`)),
    ...listIdFaults(parts, "windows", step.needsWindows, `${path}/needsWindows`),
    ...(fasteners === null ? [] : fastenersFaults(parts, fasteners, `${path}/fasteners`)),
    ...(choice === null ? [] : choiceFaults(parts, choice, `${path}/choice`)),
  ];
}

/**
 * Faults of meets: fewer than two lanes, or twice in one lane, which could never be reached.
 *
 * Counts every step that names a meet, sound or not, so that a fault elsewhere in a step brings no
 * false one here.
 */
export function meetFaults(
  document: Readonly<Record<string, unknown>>,
  parts: DocumentParts,
): Fault[] {
  if (!Array.isArray(document["steps"])) return [];
  const steps = rawParts(document["steps"]);
  return parts.sound.meets.flatMap(({ part: meet, path }) => {
    const met = steps.filter(isObject).filter((step) => step["meet"] === meet.id);
    const lanes = met.map((step) => step["lane"]);
    const doubled = met.find((step, index) => lanes.indexOf(step["lane"]) !== index);
    if (new Set(lanes).size < 2) {
      return [
        {
          path,
          code: "meet-of-one-lane",
          says: `${meet.name} is a meet of ${new Set(lanes).size} lanes; it takes two at least.`,
          mend: "Let a step of another lane name it, or remove the meet.",
        },
      ];
    }
    if (doubled === undefined) return [];
    return [
      {
        path: `/steps/${steps.indexOf(doubled)}/meet`,
        code: "meet-twice-in-lane",
        says: "An earlier step of this lane has the same meet, so that neither could start.",
        mend: `Let only one of them name it; this one is ${JSON.stringify(idOf(doubled))}.`,
      },
    ];
  });
}

function gateFaults(parts: DocumentParts, step: Step, gate: StepGate, path: string): Fault[] {
  const faults: Fault[] = [];
  if (isHazardGateId(gate.id)) {
    faults.push({
      path: `${path}/id`,
      code: "id-of-hazard-gate",
      says: `${JSON.stringify(gate.id)} is kept for the gates that hazards bring.`,
      mend: "Give the gate another id.",
    });
  }
  if (gate.sort === "reading") faults.push(...boundFaults(gate.min, gate.max, `${path}/max`));
  if (gate.sort !== "go") return faults;
  faults.push(...idFaults(parts, "positions", gate.from, `${path}/from`));
  if (gate.from === step.lane) {
    faults.push({
      path: `${path}/from`,
      code: "go-from-own-lane",
      says: "This lane would give GO to itself.",
      mend: "Name another position.",
    });
  }
  return faults;
}

function afterFaults(parts: DocumentParts, step: Step, path: string): Fault[] {
  const faults = listIdFaults(parts, "steps", step.after, `${path}/after`);
  const own = step.after.indexOf(step.id);
  if (own >= 0) {
    faults.push({
      path: `${path}/after/${own}`,
      code: "after-itself",
      says: "This step waits for itself.",
      mend: "Remove it from the list.",
    });
  }
  return faults;
}

function fastenersFaults(parts: DocumentParts, fasteners: Fasteners, path: string): Fault[] {
  const tool = parts.byId.items.get(fasteners.tool);
  if (tool === undefined) return idFaults(parts, "items", fasteners.tool, `${path}/tool`);
  if (tool.sort === "tool") return [];
  return [
    {
      path: `${path}/tool`,
      code: "no-tool",
      says: `${tool.name} is no tool.`,
      mend: 'Name an item of the sort "tool".',
    },
  ];
}

function choiceFaults(parts: DocumentParts, choice: Choice, path: string): Fault[] {
  const ids = choice.branches.map((branch) => branch.id);
  return [
    ...doubledFaults(ids, `${path}/branches`),
    ...choice.branches.flatMap((branch, index) =>
      branch.task === null
        ? []
        : contingencyFaults(parts, branch.task, `${path}/branches/${index}/task`),
    ),
  ];
}

function contingencyFaults(parts: DocumentParts, taskId: string, path: string): Fault[] {
  const task = parts.byId.tasks.get(taskId);
  if (task === undefined) return idFaults(parts, "tasks", taskId, path);
  if (task.contingency) return [];
  return [
    {
      path,
      code: "no-contingency-task",
      says: `${task.name} is in play without this choice.`,
      mend: 'Name a task whose "contingency" is true, or null to go on as planned.',
    },
  ];
}

function effectFaults(parts: DocumentParts, effect: Effect, path: string): Fault[] {
  switch (effect.kind) {
    case "item-moved":
      return itemMovedFaults(parts, effect, path);
    case "person-moved":
      return personMovedFaults(parts, effect, path);
    case "tether-anchored":
    case "tether-released":
      return tetherSiteFaults(parts, effect, path);
    case "restraint-entered":
    case "restraint-left":
      return [
        ...idFaults(parts, "positions", effect.position, `${path}/position`),
        ...restraintFaults(parts, effect.item, `${path}/item`),
      ];
    case "hardware-set":
      return hardwareStateFaults(parts, effect.hardware, effect.state, path);
    case "arm-moved":
      return [
        ...idFaults(parts, "arms", effect.arm, `${path}/arm`),
        ...reachFaults(parts, effect.arm, effect.from, `${path}/from`),
        ...reachFaults(parts, effect.arm, effect.to, `${path}/to`),
      ];
  }
}

type EffectOf<Kind extends Effect["kind"]> = Extract<Effect, { kind: Kind }>;

function itemMovedFaults(
  parts: DocumentParts,
  effect: EffectOf<"item-moved">,
  path: string,
): Fault[] {
  const faults = [
    ...idFaults(parts, "items", effect.item, `${path}/item`),
    ...placeFaults(parts, effect.from, `${path}/from`),
    ...placeFaults(parts, effect.to, `${path}/to`),
  ];
  if ("item" in effect.to && effect.to.item === effect.item) {
    faults.push({
      path: `${path}/to`,
      code: "item-inside-itself",
      says: "This puts the item inside itself.",
      mend: "Name a site, a position or another item.",
    });
  }
  return faults;
}

function personMovedFaults(
  parts: DocumentParts,
  effect: EffectOf<"person-moved">,
  path: string,
): Fault[] {
  const faults = [
    ...idFaults(parts, "positions", effect.position, `${path}/position`),
    ...idFaults(parts, "sites", effect.from, `${path}/from`),
    ...idFaults(parts, "sites", effect.to, `${path}/to`),
    ...effect.via.flatMap((id, index) => idFaults(parts, "paths", id, `${path}/via/${index}`)),
  ];
  return faults.length > 0 ? faults : viaFaults(parts, effect, path);
}

// Walks the paths from where the person is; each must begin where the one before it ended.
function viaFaults(parts: DocumentParts, effect: EffectOf<"person-moved">, path: string): Fault[] {
  if (effect.via.length === 0) return noPathFaults(parts, effect, path);
  let at: string = effect.from;
  for (const [index, id] of effect.via.entries()) {
    const taken = parts.byId.paths.get(id);
    if (taken === undefined) return [];
    if (taken.from !== at && taken.to !== at) {
      return [
        {
          path: `${path}/via/${index}`,
          code: "path-does-not-join",
          says: `The path ${JSON.stringify(id)} does not begin at ${JSON.stringify(at)}.`,
          mend: "Name the paths in order, each from where the one before it ends.",
        },
      ];
    }
    at = taken.from === at ? taken.to : taken.from;
  }
  if (at === effect.to) return [];
  return [
    {
      path: `${path}/to`,
      code: "path-does-not-join",
      says: `The paths end at ${JSON.stringify(at)}, not at ${JSON.stringify(effect.to)}.`,
      mend: "Add the path that is missing, or mend where the person ends.",
    },
  ];
}

function noPathFaults(
  parts: DocumentParts,
  effect: EffectOf<"person-moved">,
  path: string,
): Fault[] {
  const ends = [effect.from, effect.to].map((id) => parts.byId.sites.get(id));
  if (ends.some((site) => site === undefined || site.sort === "arm-tip")) return [];
  return [
    {
      path: `${path}/via`,
      code: "path-missing",
      says: "Nothing leads from one of these sites to the other, and neither is an arm's tip.",
      mend: 'Name in "via" the paths that are taken.',
    },
  ];
}

function tetherSiteFaults(
  parts: DocumentParts,
  effect: EffectOf<"tether-anchored" | "tether-released">,
  path: string,
): Fault[] {
  const tether = parts.byId.tethers.get(effect.tether);
  const faults = [
    ...idFaults(parts, "tethers", effect.tether, `${path}/tether`),
    ...idFaults(parts, "sites", effect.at, `${path}/at`),
  ];
  if (faults.length > 0 || tether === undefined || tether.anchorSites.includes(effect.at)) {
    return faults;
  }
  return [
    {
      path: `${path}/at`,
      code: "no-anchor-site",
      says: `${tether.name} may not be anchored at ${JSON.stringify(effect.at)}.`,
      mend: 'Name one of its "anchorSites", or add the site there.',
    },
  ];
}

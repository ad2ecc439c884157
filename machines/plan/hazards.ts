// Hazards: a step whose act calls for a caution has one.
//
// [hazards 1] A step that mates or parts a connector warns of the connector; one that opens or closes a
//   cover, of pinching; one that moves an arm or steps onto one, of the moving arm.
// [hazards 2] A step that handles a thing of which another step says that it is sharp or hot, and says
//   nothing itself, is doubtful; hazards that hold for the whole run speak for every step.
// What calls for which caution is common practice, no source.

import { groupBy } from "../base/group-by.ts";
import type { ItemId } from "../procedure/ids.ts";
import type { ProcedureIndex } from "../procedure/procedure-index.ts";
import type { Hazard, Step, StepSort } from "../procedure/step.ts";
import { placeOf } from "./finding.ts";
import type { Finding } from "./finding.ts";
import { listWords, stepWords } from "./plan-words.ts";

type HazardSort = Hazard["sort"];

/** Every finding of hazards that are not stated, contingency steps among them. Errors: none. */
export function findMissingHazards(index: ProcedureIndex): readonly Finding[] {
  const { steps } = index.procedure;
  const missing = steps.flatMap((step) => {
    const stated = new Set(step.hazards.map(({ sort }) => sort));
    return hazardsCalledFor(step)
      .filter((sort) => !stated.has(sort))
      .map((sort) => missingFinding(index, step, sort));
  });
  return [...missing, ...findUnspoken(index, steps)];
}

const hazardBySort: ReadonlyMap<StepSort, HazardSort> = new Map<StepSort, HazardSort>([
  ["connect", "connector"],
  ["disconnect", "connector"],
  ["open-cover", "pinch"],
  ["close-cover", "pinch"],
  ["move-arm", "moving-arm"],
  ["ride-arm", "moving-arm"],
]);

const connectorStates: ReadonlySet<string> = new Set(["parted", "mated"]);

function hazardsCalledFor(step: Step): readonly HazardSort[] {
  const called = new Set<HazardSort>();
  const bySort = hazardBySort.get(step.sort);
  if (bySort !== undefined) called.add(bySort);
  for (const effect of step.effects) {
    if (effect.kind === "arm-moved") called.add("moving-arm");
    if (effect.kind === "hardware-set" && connectorStates.has(effect.state)) {
      called.add("connector");
    }
  }
  return [...called];
}

const textBySort: Readonly<Record<HazardSort, string>> = {
  connector: "Connector: keep it dry and straight; power off before it is parted or mated.",
  pinch: "Pinch point: keep fingers and lines clear.",
  "sharp-edge": "Sharp edge: keep gloves and lines off it.",
  "hot-surface": "Hot surface: touch it only where the procedure says.",
  "moving-arm": "The arm moves: keep clear of its path and say when you are.",
  "stored-energy": "Stored energy: stand clear of the line of release.",
  snag: "Snag: keep lines and hoses free.",
  other: "Take care.",
};

const hazardNames: Readonly<Record<HazardSort, string>> = {
  connector: "the connector",
  pinch: "pinching",
  "sharp-edge": "the sharp edge",
  "hot-surface": "the hot surface",
  "moving-arm": "the moving arm",
  "stored-energy": "stored energy",
  snag: "snagging",
  other: "the hazard",
};

function missingFinding(index: ProcedureIndex, step: Step, sort: HazardSort): Finding {
  const hazard: Hazard = { word: wordBySort(sort), text: textBySort[sort], sort };
  return {
    kind: "hazard-missing",
    grade: "fault",
    where: placeOf({ steps: [step.id], positions: [step.lane] }),
    says: `${stepWords(index, step.id)} does not warn of ${hazardNames[sort]}.`,
    witness: null,
    mend: {
      says: `Put a ${hazard.word} before the step; the words are yours.`,
      edits: [{ edit: "add-hazard", step: step.id, hazard }],
    },
    onlyWith: [],
  };
}

// WARNING where a person may be hurt, CAUTION where hardware may be damaged.
function wordBySort(sort: HazardSort): Hazard["word"] {
  return sort === "connector" || sort === "snag" ? "caution" : "warning";
}

const ofTheThing: readonly HazardSort[] = ["sharp-edge", "hot-surface"];

// The thing that a step warns of is known only if it is the one thing that the step moves.
function findUnspoken(index: ProcedureIndex, steps: readonly Step[]): readonly Finding[] {
  const standing = new Set(index.procedure.standingHazards.map(({ sort }) => sort));
  const spoken = new Map<string, Step>();
  for (const step of steps) {
    if (step.hazards.length === 0) continue;
    const [item, other] = movedItems(step);
    if (item === undefined || other !== undefined) continue;
    for (const { sort } of step.hazards) spoken.set(`${item} ${sort}`, step);
  }
  return ofTheThing.flatMap((sort) => {
    if (standing.has(sort)) return [];
    if (![...spoken.keys()].some((key) => key.endsWith(` ${sort}`))) return [];
    const silent = steps.flatMap((step) => {
      const items = movedItems(step).filter((item) => spoken.has(`${item} ${sort}`));
      const isStated = step.hazards.some((hazard) => hazard.sort === sort);
      return isStated ? [] : items.map((item) => ({ item, step }));
    });
    return [...groupBy(silent, ({ item }) => item)].map(([item, found]) =>
      unspokenFinding(index, { item, sort, steps: found.map(({ step }) => step) }, spoken),
    );
  });
}

function movedItems({ effects }: Step): readonly ItemId[] {
  return [...new Set(effects.flatMap((e) => (e.kind === "item-moved" ? [e.item] : [])))];
}

function unspokenFinding(
  index: ProcedureIndex,
  { item, sort, steps }: { item: ItemId; sort: HazardSort; steps: readonly Step[] },
  spoken: ReadonlyMap<string, Step>,
): Finding {
  const speaker = spoken.get(`${item} ${sort}`) as Step;
  const name = index.itemsById.get(item)?.name ?? item;
  const silent = listWords(steps.map((step) => stepWords(index, step.id)));
  const hazard = speaker.hazards.find((other) => other.sort === sort) as Hazard;
  return {
    kind: "hazard-missing",
    grade: "doubt",
    where: placeOf({ steps: steps.map((step) => step.id), items: [item] }),
    says: `${stepWords(index, speaker.id)} warns of ${hazardNames[sort]} of ${name}; ${silent} moves it too and does not.`,
    witness: null,
    mend: {
      says: `Put the same ${hazard.word} there.`,
      edits: steps.map((step) => ({ edit: "add-hazard" as const, step: step.id, hazard })),
    },
    onlyWith: [],
  };
}

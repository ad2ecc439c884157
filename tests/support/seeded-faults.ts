// Faults to plant in the long demo procedure: one of each kind that the order of a plan can show, most
// by themselves, some in pairs over one thing.
//
// Each says what it must be found as, and what else it brings along by itself: whoever never takes a bag
// can't put it back either. Whatever names none of its things is a false fault.

import type { FindingKind } from "../../machines/plan/finding.ts";
import type { Procedure } from "../../machines/procedure/procedure.ts";
import type { Effect, Step } from "../../machines/procedure/step.ts";

/** One fault to plant. */
export type SeededFault = {
  readonly kind: FindingKind;
  /** Id of a step or a thing that the finding must name. */
  readonly at: string;
  /** What the same cause shows as besides. */
  readonly also: readonly FindingKind[];
  /** Ids of the things that its findings may be about. */
  readonly about: readonly string[];
  readonly plant: (draft: Draft) => void;
};

type Mutable<T> = T extends string | number | boolean | null
  ? T
  : { -readonly [K in keyof T]: Mutable<T[K]> };

/** A procedure that may be changed. */
export type Draft = Mutable<Procedure>;
type DraftStep = Mutable<Step>;
type EffectOf<Kind extends Effect["kind"]> = Extract<Mutable<Effect>, { kind: Kind }>;

/** A copy of the procedure with the faults in it. */
export function plantFaults(sound: Procedure, faults: readonly SeededFault[]): Procedure {
  const draft = structuredClone(sound) as Draft;
  for (const fault of faults) fault.plant(draft);
  return draft;
}

/** The faults, for petrel-deck. */
export const seededFaults: readonly SeededFault[] = [
  {
    kind: "deadlock",
    at: "arm-op-unlatch",
    also: [],
    about: ["arm-op-unlatch"],
    plant: (draft) => stepOf(draft, "arm-op-unlatch").after.push(idOf("ev2-jade-on")),
  },
  {
    kind: "tether-none",
    at: "ev1-to-white",
    also: [],
    about: ["ev1-to-white"],
    plant: (draft) => reorderEffects(stepOf(draft, "ev1-to-white"), [0, 2, 1]),
  },
  {
    kind: "tether-too-short",
    at: "ev1-reel-red",
    also: [],
    about: ["ev1-reel-red"],
    plant: (draft) => (partOf(draft.tethers, "ev1-reel-red").lengthMetres = 21),
  },
  {
    kind: "tether-not-there",
    at: "ev1-later-to-porch",
    also: [],
    about: ["ev1-later-to-porch"],
    plant: (draft) => (effectOf(draft, "ev1-later-to-porch", "tether-released").at = idOf("porch")),
  },
  {
    kind: "tether-unordered",
    at: "diver-panel-watch",
    also: ["person-unordered"],
    about: ["diver-panel-watch"],
    plant: (draft) =>
      stepOf(draft, "diver-panel-watch").effects.push(
        { kind: "tether-released", tether: idOf("ev1-short"), at: idOf("shield-frame") },
        { kind: "tether-anchored", tether: idOf("ev1-short"), at: idOf("shield-frame") },
      ),
  },
  {
    kind: "arm-rider",
    at: "arm-op-ride-1",
    also: ["tether-not-there"],
    about: ["ev2-reel"],
    plant: (draft) => (stepOf(draft, "ev2-reel-off").effects = []),
  },
  {
    kind: "person-left-out",
    at: "ev2",
    also: [],
    about: ["ev2", "ev2-last-suit"],
    plant: (draft) => {
      stepOf(draft, "ev2-last-suit").site = idOf("porch");
      stepOf(draft, "ev2-last-suit").effects.push({
        kind: "person-moved",
        position: idOf("ev2"),
        from: idOf("hatch"),
        to: idOf("porch"),
        via: [idOf("hatch--porch")],
      });
    },
  },
  {
    kind: "person-not-there",
    at: "ev1-photo-amber",
    also: [],
    about: ["ev1-photo-amber"],
    plant: (draft) => (stepOf(draft, "ev1-photo-amber").site = idOf("valve-face")),
  },
  {
    kind: "person-unordered",
    at: "ev2-take-box",
    also: ["hands-busy"],
    about: ["ev2-take-box"],
    plant: (draft) => {
      stepOf(draft, "ev1-look-seat").after = [];
      stepOf(draft, "ev1-valve-to-porch").after = [];
    },
  },
  {
    kind: "site-unreachable",
    at: "perch",
    also: ["person-not-there"],
    about: ["perch", "ev2-photo-edge"],
    plant: (draft) => {
      draft.sites.push({ ...partOf(draft.sites, "lookout"), id: idOf("perch"), name: "Perch" });
      stepOf(draft, "ev2-photo-edge").site = idOf("perch");
    },
  },
  {
    kind: "path-missing",
    at: "ev2-step-off",
    also: ["person-not-there", "tether-not-there", "item-out-of-reach"],
    about: ["ev2-step-off", "ev2-jade-off"],
    plant: (draft) => {
      effectOf(draft, "ev2-step-off", "person-moved").to = idOf("porch-rack");
      stepOf(draft, "ev2-step-off").site = idOf("porch-rack");
    },
  },
  {
    kind: "path-closed",
    at: "ev1-to-later",
    also: [],
    about: ["ev1-to-later"],
    plant: (draft) =>
      partOf(draft.paths, "ring-6--later-socket").closedWhile.push({
        hardware: idOf("lock-pressure"),
        state: "vacuum",
      }),
  },
  {
    kind: "path-unordered",
    at: "arm-brakes",
    also: [],
    about: ["arm-brakes"],
    plant: (draft) =>
      partOf(draft.paths, "hatch--porch").closedWhile.push({
        hardware: idOf("arm-brakes"),
        state: "off",
      }),
  },
  {
    kind: "restraint-not-there",
    at: "ev1-into-amber",
    also: ["item-not-there"],
    about: ["restraint-amber"],
    plant: (draft) => (stepOf(draft, "ev1-set-amber").effects = []),
  },
  {
    kind: "restraint-unordered",
    at: "diver-camera",
    also: ["restraint-not-there"],
    about: ["diver-camera", "ev1-free-bolts", "ev1-torque-box", "ev1-leave-amber"],
    plant: (draft) =>
      stepOf(draft, "diver-camera").effects.push({
        kind: "restraint-left",
        position: idOf("ev1"),
        item: idOf("restraint-amber"),
      }),
  },
  {
    kind: "arm-not-there",
    at: "ev2-photo-failed",
    also: [],
    about: ["ev2-photo-failed"],
    plant: (draft) =>
      (stepOf(draft, "ev2-photo-failed").requires = [{ arm: idOf("arm"), at: idOf("valve-face") }]),
  },
  {
    kind: "arm-unordered",
    at: "ev2-look-spare",
    also: ["condition-unordered"],
    about: ["ev2-look-spare"],
    plant: (draft) => (stepOf(draft, "ev2-look-spare").after = []),
  },
  {
    kind: "condition-never",
    at: "heater-lock",
    also: [],
    about: ["heater-lock"],
    plant: (draft) => (stepOf(draft, "iv-heater-set").effects = []),
  },
  {
    kind: "condition-unordered",
    at: "iv-power-on",
    also: [],
    about: ["iv-power-on"],
    plant: (draft) => (stepOf(draft, "iv-power-on").after = []),
  },
  {
    kind: "cap-missing",
    at: "ev1-cap-power",
    also: ["item-not-there"],
    about: ["ev1-cap-power", "cap-power"],
    plant: (draft) => dropEffect(stepOf(draft, "ev1-cap-power"), "item-moved"),
  },
  {
    kind: "item-not-there",
    at: "ev1-fit-bracket",
    also: [],
    about: ["ev1-fit-bracket"],
    plant: (draft) =>
      (effectOf(draft, "ev1-fit-bracket", "item-moved").from = { item: idOf("ev1-pouch") }),
  },
  {
    kind: "item-not-there",
    at: "ev1-get-brush",
    also: [],
    about: ["ev1-get-brush"],
    plant: (draft) =>
      (effectOf(draft, "ev1-get-brush", "item-moved").from = { item: idOf("ev1-pouch") }),
  },
  {
    kind: "item-unordered",
    at: "ev1-take-box",
    also: [],
    about: ["ev1-take-box", "ev1-move-caps"],
    plant: (draft) => (stepOf(draft, "ev1-take-box").after = []),
  },
  {
    kind: "item-out-of-reach",
    at: "ev1-tag-amber",
    also: ["item-not-back"],
    about: ["stage-tag"],
    plant: (draft) =>
      (effectOf(draft, "ev1-tag-amber", "item-moved").to = { site: idOf("junction-b") }),
  },
  {
    kind: "item-inside-itself",
    at: "cable-bag",
    also: ["item-not-back"],
    about: ["cable-bag"],
    plant: (draft) =>
      (effectOf(draft, "ev2-cable-bag-home", "item-moved").to = { item: idOf("cable-reel") }),
  },
  {
    kind: "item-not-back",
    at: "rack-driver",
    also: [],
    about: ["rack-driver"],
    plant: (draft) => {
      const step = stepOf(draft, "ev2-jade-home");
      step.effects = step.effects.filter((e) => !("item" in e) || e.item !== "rack-driver");
    },
  },
  {
    kind: "site-crowded",
    at: "shield-frame",
    also: [],
    about: ["shield-frame"],
    plant: (draft) => (partOf(draft.sites, "shield-frame").capacity = 1),
  },
  {
    kind: "restraint-shared",
    at: "restraint-slate",
    also: ["restraint-unordered", "item-unordered"],
    about: ["restraint-slate", "ev2-look-panel"],
    plant: (draft) => {
      const entered = effectOf(draft, "ev1-set-slate", "restraint-entered");
      const own = { position: idOf<never>("ev2"), item: entered.item };
      stepOf(draft, "ev2-look-panel").effects.push({ kind: "restraint-entered", ...own });
      stepOf(draft, "ev2-panel-back").effects.push({ kind: "restraint-left", ...own });
    },
  },
  {
    kind: "tool-shared",
    at: "panel-driver",
    also: [],
    about: ["panel-driver"],
    plant: (draft) => {
      for (const id of ["ev2-look-panel", "ev1-set-pins"]) {
        stepOf(draft, id).fasteners = structuredClone(stepOf(draft, "ev1-torque-panel").fasteners);
      }
    },
  },
  {
    kind: "hands-busy",
    at: "ev2-hold-panel",
    also: [],
    about: ["ev2-hold-panel"],
    plant: (draft) => (stepOf(draft, "ev1-set-slate").after = []),
  },
  {
    kind: "hazard-missing",
    at: "ev1-open-blanket",
    also: [],
    about: ["ev1-open-blanket"],
    plant: (draft) => (stepOf(draft, "ev1-open-blanket").hazards = []),
  },
];

/** A step of the draft. Throws if there is none. */
export function stepOf(draft: Draft, id: string): DraftStep {
  return partOf(draft.steps, id);
}

/** A part of a list. Throws if there is none. */
export function partOf<Part extends { id: string }>(parts: readonly Part[], id: string): Part {
  const part = parts.find((other) => other.id === id);
  if (part === undefined) throw new Error(`No part ${id}`);
  return part;
}

/** The first effect of a kind in a step. Throws if there is none. */
export function effectOf<Kind extends Effect["kind"]>(
  draft: Draft,
  step: string,
  kind: Kind,
): EffectOf<Kind> {
  const effect = stepOf(draft, step).effects.find((other) => other.kind === kind);
  if (effect === undefined) throw new Error(`No effect ${kind} in ${step}`);
  return effect as EffectOf<Kind>;
}

function dropEffect(step: DraftStep, kind: Effect["kind"]): void {
  step.effects = step.effects.filter((effect) => effect.kind !== kind);
}

function reorderEffects(step: DraftStep, places: readonly number[]): void {
  step.effects = places.map((place) => step.effects[place] as DraftStep["effects"][number]);
}

/** A text as an id. */
export function idOf<Id extends string>(text: string): Id {
  return text as Id;
}

// The walker finds faults: each is planted in a copy of a demo procedure, and must be found as such.

import { expect, test } from "vitest";
import type { Procedure } from "../../../../../machines/procedure/procedure.ts";
import type { Effect, Step } from "../../../../../machines/procedure/step.ts";
import { walkProcedure } from "../../../../support/walk-procedure.ts";
import type { WalkRule } from "../../../../support/walk-world.ts";
import { demoProcedure, type DemoName } from "./demo-documents.ts";

type Mutable<T> = T extends string | number | boolean | null
  ? T
  : { -readonly [K in keyof T]: Mutable<T[K]> };
type Draft = Mutable<Procedure>;
type EffectOf<Kind extends Effect["kind"]> = Extract<Mutable<Effect>, { kind: Kind }>;

function check(
  rule: WalkRule,
  step: string | null,
  name: DemoName,
  plant: (draft: Draft) => void,
): void {
  const sound = demoProcedure(name);
  const draft = structuredClone(sound) as Draft;
  plant(draft);
  expect(draft).not.toEqual(sound);
  const found = walkProcedure(draft).inconsistencies;
  expect(found.map((f) => `${f.rule} ${f.step}`)).toContain(`${rule} ${step}`);
}

function stepOf(draft: Draft, id: string): Mutable<Step> {
  const step = draft.steps.find((s) => s.id === id);
  if (!step) {
    throw new Error(`No step ${id}`);
  }
  return step;
}

function effectOf<Kind extends Effect["kind"]>(
  draft: Draft,
  step: string,
  kind: Kind,
): EffectOf<Kind> {
  const effect = stepOf(draft, step).effects.find((e) => e.kind === kind);
  if (!effect) {
    throw new Error(`No effect ${kind} in ${step}`);
  }
  return effect as EffectOf<Kind>;
}

function partOf<T extends { id: string }>(parts: readonly T[], id: string): T {
  const part = parts.find((p) => p.id === id);
  if (!part) {
    throw new Error(`No part ${id}`);
  }
  return part;
}

const idOf = <Id extends string>(text: string) => text as Id;

test("an item that is not where it is taken from is found", () => {
  check("item-place", "ev1-06", "first-steps", (draft) => {
    effectOf(draft, "ev1-06", "item-moved").from = { site: idOf("shelf") };
  });
});

test("an item put into itself is found", () => {
  check("item-place", "ev1-10", "first-steps", (draft) => {
    effectOf(draft, "ev1-10", "item-moved").to = { item: idOf("tool-bag") };
  });
});

test("an item laid down out of reach is found", () => {
  check("item-reach", "ev1-06", "first-steps", (draft) => {
    effectOf(draft, "ev1-06", "item-moved").to = { site: idOf("shelf") };
  });
});

test("an item handed to someone who is elsewhere is found", () => {
  check("item-reach", "ev1-hang-bag", "petrel-deck", (draft) => {
    effectOf(draft, "ev1-hang-bag", "item-moved").to = { position: idOf("ev2") };
  });
});

test("an item that ends elsewhere than it must is found", () => {
  check("end-place", null, "first-steps", (draft) => {
    partOf(draft.items, "driver").mustEndAt = [{ site: idOf("shelf") }];
  });
});

test("a person left outside at the end is found", () => {
  check("end-place", null, "first-steps", (draft) => {
    draft.steps = draft.steps.filter((s) => s.id !== "ev2-07");
  });
});

test("a step at a site where its person is not is found", () => {
  check("person-place", "ev1-05", "first-steps", (draft) => {
    stepOf(draft, "ev1-05").site = idOf("mast");
  });
});

test("a translation that ends elsewhere than its step says is found", () => {
  check("person-place", "ev1-03", "first-steps", (draft) => {
    stepOf(draft, "ev1-03").site = idOf("rail");
  });
});

test("hardware worked from out of reach is found", () => {
  check("person-place", "ev1-04", "first-steps", (draft) => {
    partOf(draft.hardware, "panel-cover").site = idOf("mast");
  });
});

test("a path that does not begin where the person is is found", () => {
  check("path", "ev1-03", "first-steps", (draft) => {
    effectOf(draft, "ev1-03", "person-moved").via = [idOf("door--rail")];
  });
});

test("a path that is closed is found", () => {
  check("path", "ev1-10", "first-steps", (draft) => {
    const closed = { hardware: idOf("lamp-plug"), state: "mated" } as const;
    partOf(draft.paths, "rail--panel").closedWhile = [closed as never];
  });
});

test("stepping onto an arm that is not there is found", () => {
  check("path", "ev2-step-on", "petrel-deck", (draft) => {
    effectOf(draft, "arm-op-to-porch", "arm-moved").to = idOf("spare-rack");
  });
});

test("a person outside with no tether anchored is found", () => {
  check("tether-none", "ev1-02", "first-steps", (draft) => {
    const step = stepOf(draft, "ev1-01");
    step.effects = step.effects.filter((e) => e.kind !== "tether-anchored");
  });
});

test("a tether broken before the next is made is found", () => {
  check("tether-none", "ev1-to-white", "petrel-deck", (draft) => {
    const step = stepOf(draft, "ev1-to-white");
    step.effects = [0, 2, 1].flatMap((index) => step.effects[index] ?? []);
  });
});

test("a tether that is too short for the way is found", () => {
  check("tether-length", "ev1-to-valve", "petrel-deck", (draft) => {
    partOf(draft.tethers, "ev1-reel-red").lengthMetres = 21;
  });
});

test("a short tether left hooked behind is found", () => {
  check("tether-length", "ev1-to-frame", "petrel-deck", (draft) => {
    const step = stepOf(draft, "ev1-to-frame");
    step.effects = step.effects.filter((e) => e.kind !== "tether-released");
  });
});

test("a tether hooked from out of reach is found", () => {
  check("tether-anchor", "ev1-01", "first-steps", (draft) => {
    effectOf(draft, "ev1-01", "tether-anchored").at = idOf("rail");
  });
});

test("a tether hooked where it may not be is found", () => {
  check("tether-anchor", "ev1-03", "first-steps", (draft) => {
    partOf(draft.tethers, "ev1-short").anchorSites = [idOf("door")];
  });
});

test("a restraint that is not installed and is stood in is found", () => {
  check("restraint", "ev1-into-amber", "petrel-deck", (draft) => {
    stepOf(draft, "ev1-set-amber").effects = [];
  });
});

test("a person that walks off while standing in a restraint is found", () => {
  check("restraint", "ev1-valve-to-porch", "petrel-deck", (draft) => {
    const step = stepOf(draft, "ev1-leave-amber");
    step.effects = step.effects.filter((e) => e.kind !== "restraint-left");
  });
});

test("a restraint left by one who is not in it is found", () => {
  check("restraint", "ev2-step-off", "petrel-deck", (draft) => {
    effectOf(draft, "ev2-step-off", "restraint-left").item = idOf("restraint-slate");
  });
});

test("two persons in one restraint are found", () => {
  check("restraint", "ev1-set-slate", "petrel-deck", (draft) => {
    const entered = effectOf(draft, "ev1-set-slate", "restraint-entered");
    stepOf(draft, "ev2-hold-panel").effects.push({ ...entered, position: idOf("ev2") });
  });
});

test("two stays in one restraint that nothing keeps apart are found", () => {
  check("site-capacity", null, "petrel-deck", (draft) => {
    const entered = effectOf(draft, "ev1-set-slate", "restraint-entered");
    stepOf(draft, "ev2-guide-panel").effects.push({ ...entered, position: idOf("ev2") });
  });
});

test("a state that hardware does not have is found", () => {
  check("requirement", "ev1-04", "first-steps", (draft) => {
    effectOf(draft, "ev1-04", "hardware-set").state = "ajar";
  });
});

test("more persons at a site than it holds are found", () => {
  check("site-capacity", "ev2-05", "first-steps", (draft) => {
    partOf(draft.sites, "panel").capacity = 1;
  });
});

test("two stays at a site for one that only durations keep apart are found", () => {
  check("site-capacity", null, "petrel-deck", (draft) => {
    partOf(draft.sites, "porch-rack").capacity = 1;
  });
});

test("a hardware state that nobody set is found", () => {
  check("requirement", "ev1-04", "first-steps", (draft) => {
    stepOf(draft, "iv-01").effects = [];
  });
});

test("a tool that is not at hand is found", () => {
  check("requirement", "ev1-05", "first-steps", (draft) => {
    partOf(draft.items, "driver").startsAt = { site: idOf("shelf") };
  });
});

test("an arm that is elsewhere than a step needs it is found", () => {
  check("requirement", "ev2-look-spare", "petrel-deck", (draft) => {
    effectOf(draft, "arm-op-ride-1", "arm-moved").to = idOf("shield-frame");
  });
});

test("a restraint that a step needs and nobody entered is found", () => {
  check("requirement", "ev1-open-blanket", "petrel-deck", (draft) => {
    stepOf(draft, "ev1-into-amber").effects = [];
  });
});

test("a connector left without a cap is found", () => {
  check("cap-missing", null, "petrel-deck", (draft) => {
    for (const id of ["ev1-cap-data", "ev1-mate-data"]) {
      stepOf(draft, id).effects = [];
    }
  });
});

test("a connector called capped with no cap put on it is found", () => {
  check("cap-missing", "ev1-cap-data", "petrel-deck", (draft) => {
    const step = stepOf(draft, "ev1-cap-data");
    step.effects = step.effects.filter((e) => e.kind !== "item-moved");
  });
});

test("a rider in no restraint is found", () => {
  check("arm-rider", "arm-op-ride-1", "petrel-deck", (draft) => {
    const step = stepOf(draft, "ev2-step-on");
    step.effects = step.effects.filter((e) => e.kind !== "restraint-entered");
  });
});

test("a rider still hooked to the truss is found", () => {
  check("arm-rider", "arm-op-ride-1", "petrel-deck", (draft) => {
    stepOf(draft, "ev2-reel-off").effects = [];
  });
});

test("an arm sent where it does not reach is found", () => {
  check("arm-place", "arm-op-ride-2", "petrel-deck", (draft) => {
    partOf(draft.arms, "arm").reaches = [idOf("arm-rest"), idOf("porch"), idOf("spare-rack")];
  });
});

test("two lanes on one piece of hardware that nothing orders are found", () => {
  check("unordered", "iv-01", "first-steps", (draft) => {
    stepOf(draft, "ev1-04").after = [];
  });
});

test("two lanes on one item that nothing orders are found", () => {
  check("unordered", "ev2-hang-spare", "petrel-deck", (draft) => {
    stepOf(draft, "ev1-take-box").after = [];
  });
});

test("a rider at work that nothing orders with the arm is found", () => {
  check("unordered", "arm-op-ride-1", "petrel-deck", (draft) => {
    stepOf(draft, "ev2-look-spare").after = [];
    stepOf(draft, "ev2-look-spare").requires = [];
  });
});

test("a hand-over without its meet is found", () => {
  check("unordered", "ev2-04", "first-steps", (draft) => {
    stepOf(draft, "ev1-06").after = [];
    stepOf(draft, "ev1-07").meet = null;
  });
});

test("a clock that runs out is found", () => {
  check("clock", null, "petrel-deck", (draft) => {
    partOf(draft.clocks, "box-cold").atMostSeconds = 3600;
  });
});

test("a clock that is too early is found", () => {
  check("clock", null, "petrel-deck", (draft) => {
    stepOf(draft, "iv-bleed").duration.likelySeconds = 10;
  });
});

test("lanes that wait for each other are found", () => {
  check("deadlock", null, "first-steps", (draft) => {
    stepOf(draft, "ev1-06").after = [idOf("ev2-07")];
  });
});

test("a window that does not come again is found", () => {
  check("window", "ev1-photo-panel", "petrel-deck", (draft) => {
    const light = partOf(draft.windows, "light");
    light.spans = light.spans.slice(0, 1);
  });
});

test("a run that is too long is found", () => {
  check("run-length", null, "first-steps", (draft) => {
    draft.limits.runSecondsMax = 3000;
  });
});

test("a step that should warn of its hazard and does not is found", () => {
  check("hazard-missing", "ev1-04", "first-steps", (draft) => {
    stepOf(draft, "ev1-04").hazards = [];
  });
});

test("an after that names no step is found", () => {
  check("after-unknown", "ev1-04", "first-steps", (draft) => {
    stepOf(draft, "ev1-04").after = [idOf("iv-99")];
  });
});

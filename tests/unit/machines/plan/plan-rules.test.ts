// Each rule of the plan check by an example: a demo procedure with one thing changed.

import { expect, test } from "vitest";
import { checkPlan } from "../../../../machines/plan/check-plan.ts";
import { findingKinds, sortFindings } from "../../../../machines/plan/finding.ts";
import type { Finding, FindingKind } from "../../../../machines/plan/finding.ts";
import { areApart, playsOf } from "../../../../machines/plan/plays.ts";
import type { ItemId } from "../../../../machines/procedure/ids.ts";
import { indexProcedure } from "../../../../machines/procedure/procedure-index.ts";
import { aProcedure } from "../../../support/a-procedure.ts";
import { aPath, aPosition, aSite, aStep, aTether } from "../../../support/procedure-parts.ts";
import {
  effectOf,
  idOf,
  partOf,
  plantFaults,
  seededFaults,
  stepOf,
  type Draft,
} from "../../../support/seeded-faults.ts";
import { demoNames, demoProcedure, type DemoName } from "../../workers/hub/demo/demo-documents.ts";

function findIn(name: DemoName, plant: (draft: Draft) => unknown): readonly Finding[] {
  const draft = structuredClone(demoProcedure(name)) as Draft;
  plant(draft);
  return checkPlan(indexProcedure(draft));
}

/** Expects the one finding beside advice, and hands it over. */
function check(
  [kind, at]: readonly [FindingKind, string],
  name: DemoName,
  plant: (draft: Draft) => unknown,
): Finding {
  const found = findIn(name, plant).filter(({ grade }) => grade !== "advice");
  expect(
    found.map((f) => [
      f.kind,
      Object.values(f.where)
        .flat()
        .includes(at as never),
    ]),
  ).toEqual([[kind, true]]);
  return found[0] as Finding;
}

test.each(demoNames)("[check-plan 1] %s comes out without a fault", (name) => {
  expect(findIn(name, () => {}).filter(({ grade }) => grade === "fault")).toEqual([]);
});

test("[tethers 1] the hook that is let go first is said with the swap that mends it", () => {
  const { mend, says } = check(["tether-none", "ev1-to-white"], "petrel-deck", (draft) => {
    const step = stepOf(draft, "ev1-to-white");
    step.effects = [0, 2, 1].flatMap((place) => step.effects[place] ?? []);
  });
  expect(says).toContain("EV1 is outside at Porch on no tether");
  expect(mend.edits).toEqual([{ edit: "swap-effects", step: "ev1-to-white", first: 1 }]);
});

test("[tethers 1] whoever goes out on no tether is told once, until one is hooked again", () => {
  const found = findIn("first-steps", (draft) => {
    stepOf(draft, "ev2-01").effects.shift();
    stepOf(draft, "ev2-02").effects.pop();
    stepOf(draft, "ev2-04").effects.shift();
  }).filter(({ grade }) => grade === "fault");
  expect(found.map(({ kind, where }) => [kind, where.steps, where.sites])).toEqual([
    ["tether-none", ["ev2-02"], ["rail"]],
    ["tether-none", ["ev2-07"], ["panel"]],
  ]);
});

test("[tethers 2] a line is measured along the way, and runs back on itself", () => {
  const { says } = check(["tether-too-short", "ev1-long"], "first-steps", (draft) => {
    partOf(draft.tethers, "ev1-long").lengthMetres = 5;
  });
  expect(says).toContain("is 5 m long");
  expect(says).toContain("its line from Door is 5.9 m");
  expect(
    findIn("first-steps", (draft) => (partOf(draft.tethers, "ev1-long").lengthMetres = 5.9)).filter(
      ({ grade }) => grade !== "advice",
    ),
  ).toEqual([]);
});

test("[tethers 3] a hook is made where its wearer is", () => {
  check(["tether-not-there", "rail"], "first-steps", (draft) => {
    const step = stepOf(draft, "ev1-03");
    effectOf(draft, "ev1-03", "tether-anchored").at = idOf("rail");
    effectOf(draft, "ev1-10", "tether-released").at = idOf("rail");
    stepOf(draft, "ev1-10").effects.unshift({
      kind: "person-moved",
      position: step.lane,
      from: idOf("panel"),
      to: idOf("rail"),
      via: [idOf("rail--panel")],
    });
    effectOf(draft, "ev1-10", "person-moved");
    stepOf(draft, "ev1-10").effects[2] = {
      kind: "person-moved",
      position: step.lane,
      from: idOf("rail"),
      to: idOf("door"),
      via: [idOf("door--rail")],
    };
  });
});

test("[persons 1] a wrong site is one finding, and so is a way that is missing", () => {
  check(["person-not-there", "ev1-05"], "first-steps", (draft) => {
    stepOf(draft, "ev1-05").site = idOf("mast");
  });
  const { says } = check(["person-not-there", "ev2-05"], "first-steps", (draft) => {
    const step = stepOf(draft, "ev2-05");
    step.effects = step.effects.slice(1);
  });
  expect(says).toContain("EV2 is then at Parts shelf");
});

test("[persons 2] a way that is closed is told with what closes it", () => {
  const { says } = check(["path-closed", "ev1-10"], "first-steps", (draft) => {
    partOf(draft.paths, "rail--panel").closedWhile.push({
      hardware: idOf("panel-cover"),
      state: "closed",
    });
    stepOf(draft, "ev1-03").effects = stepOf(draft, "ev1-03").effects.map((effect) => effect);
    partOf(draft.hardware, "panel-cover").startsAs = "open";
    effectOf(draft, "ev1-04", "hardware-set").state = "open";
  });
  expect(says).toContain("Filter panel cover");
});

test("[persons 3] who is not back at a hatch is told", () => {
  const { says } = check(["person-left-out", "ev2"], "first-steps", (draft) => {
    draft.steps = draft.steps.filter(({ id }) => id !== "ev2-07");
    stepOf(draft, "iv-03").after = [idOf("ev1-10")];
    stepOf(draft, "ev1-10").meet = null;
    draft.meets = draft.meets.filter(({ id }) => id !== "way-home");
  });
  expect(says).toContain("At the end EV2 is at Filter panel");
});

test("[custody 1] an item that is not where it is taken from can be taken from where it is", () => {
  const { mend } = check(["item-not-there", "old-filter"], "first-steps", (draft) => {
    effectOf(draft, "ev1-06", "item-moved").from = { site: idOf("mast") };
    effectOf(draft, "ev1-06", "item-moved").from = { item: idOf("filter-box") };
  });
  expect(mend.edits).toContainEqual({
    edit: "take-from",
    step: "ev1-06",
    item: "old-filter",
    from: { site: "panel" },
  });
});

test("[custody 1] what a bag holds goes with it", () => {
  // The tool bag goes from the door to the panel; the bar in it is then at hand there, and at the door not.
  const play = ["stuck-bolt"];
  const found = findIn("first-steps", (draft) => {
    const step = stepOf(draft, "ev1-02");
    step.effects = step.effects.filter(({ kind }) => kind !== "item-moved");
    const last = stepOf(draft, "ev1-10");
    last.effects = last.effects.filter(({ kind }) => kind !== "item-moved");
  });
  const bar = found.filter(({ where }) => where.items.includes("long-bar" as ItemId));
  expect(bar.map(({ kind, onlyWith }) => [kind, onlyWith])).toContainEqual([
    "item-out-of-reach",
    play,
  ]);
});

test("[custody 2] a tool that is out of reach is told with where it is", () => {
  const { says } = check(["item-out-of-reach", "driver"], "first-steps", (draft) => {
    partOf(draft.items, "driver").startsAt = { site: idOf("shelf") };
    partOf(draft.items, "driver").mustEndAt = [{ site: idOf("shelf") }];
    stepOf(draft, "ev1-08").fasteners = null;
  });
  expect(says).toContain("which is at Parts shelf");
});

test("[custody 3] a thing put down on an anchor is doubtful", () => {
  const { grade } = check(["item-loose", "tool-bag"], "first-steps", (draft) => {
    stepOf(draft, "ev1-02").effects.push(
      {
        kind: "item-moved",
        item: idOf("tool-bag"),
        from: { position: idOf("ev1") },
        to: { site: idOf("rail") },
      },
      {
        kind: "item-moved",
        item: idOf("tool-bag"),
        from: { site: idOf("rail") },
        to: { position: idOf("ev1") },
      },
    );
  });
  expect(grade).toBe("doubt");
});

test("[custody 3] a bag is not put into what it holds", () => {
  const [seed] = seededFaults.filter(({ kind }) => kind === "item-inside-itself");
  const found = findIn("petrel-deck", (draft) => seed?.plant(draft));
  expect(found.map(({ kind }) => kind)).toContain("item-inside-itself");
});

test("[custody 4] what stays out is listed", () => {
  const [advice] = findIn("first-steps", () => {}).filter((f) => f.kind === "items-left-out");
  expect(advice?.where.items).toEqual(["new-filter"]);
  check(["item-not-back", "driver"], "first-steps", (draft) => {
    partOf(draft.items, "driver").mustEndAt = [{ site: idOf("shelf") }];
  });
});

test("[prerequisites 1] one cause is one finding, with every step that relies on it", () => {
  const { where } = check(["condition-never", "panel-power"], "first-steps", (draft) => {
    stepOf(draft, "iv-01").effects = [];
  });
  expect(where.steps.toSorted()).toEqual(["ev1-04", "ev2-03"]);
});

test("[prerequisites 2] hardware is worked by one who is there", () => {
  check(["person-not-there", "lamp-plug"], "first-steps", (draft) => {
    partOf(draft.hardware, "lamp-plug").site = idOf("shelf");
    stepOf(draft, "ev2-03").effects = stepOf(draft, "ev2-03").effects.map((effect) => effect);
  });
});

test("[prerequisites 3] a connector that is left parted is told once", () => {
  check(["cap-missing", "lamp-plug"], "first-steps", (draft) => {
    effectOf(draft, "ev2-03", "hardware-set").state = "parted";
    stepOf(draft, "iv-03").requires = [];
  });
});

test("[prerequisites 3] a connector that is parted at the end is told", () => {
  check(["cap-missing", "lamp-plug"], "first-steps", (draft) => {
    effectOf(draft, "ev2-03", "hardware-set").state = "parted";
    stepOf(draft, "iv-03").requires = [];
    partOf(draft.hardware, "lamp-plug").site = null;
  });
});

test("[prerequisites 4] a restraint is stood in where it is installed", () => {
  const [seed] = seededFaults.filter(({ kind }) => kind === "restraint-not-there");
  const found = findIn("petrel-deck", (draft) => seed?.plant(draft));
  expect(found.map(({ kind }) => kind)).toContain("restraint-not-there");
});

test("[prerequisites 5] a rider who stands free or hangs on elsewhere is told", () => {
  const found = findIn("petrel-deck", (draft) => {
    stepOf(draft, "ev2-step-on").effects.pop();
    stepOf(draft, "ev2-reel-off").effects = [];
  }).filter(({ kind }) => kind === "arm-rider");
  expect(found.map(({ says }) => says.replace(/^.*\) /, ""))).toEqual([
    "moves Deck arm with EV2 on its tip in no foot restraint.",
    "moves Deck arm while EV2 reel still holds EV2 at Porch.",
  ]);
});

test("[plan-state 1] what may have changed meanwhile is a clash, not a mistake of its own", () => {
  const found = findIn("petrel-deck", (draft) => {
    stepOf(draft, "ev2-look-spare").after = [];
  }).filter(({ grade }) => grade === "fault");
  expect(new Set(found.map(({ kind }) => kind))).toEqual(
    new Set(["arm-unordered", "condition-unordered"]),
  );
});

test("[walk-plan 1] a step's needs are looked at before its effects, and these in their order", () => {
  check(["condition-never", "panel-power"], "first-steps", (draft) => {
    stepOf(draft, "iv-01").requires = [{ hardware: idOf("panel-power"), state: "off" }];
  });
  expect(
    findIn("first-steps", (draft) => {
      const to = { position: idOf<never>("ev1") };
      const from = { item: idOf<never>("tool-bag") };
      stepOf(draft, "ev1-05").effects.push(
        { kind: "item-moved", item: idOf("long-bar"), from, to },
        { kind: "item-moved", item: idOf("long-bar"), from: to, to: from },
      );
    }).filter(({ grade }) => grade !== "advice"),
  ).toEqual([]);
  check(["item-not-there", "long-bar"], "first-steps", (draft) => {
    const to = { position: idOf<never>("ev1") };
    const from = { item: idOf<never>("tool-bag") };
    stepOf(draft, "ev1-05").effects.push(
      { kind: "item-moved", item: idOf("long-bar"), from, to },
      { kind: "item-moved", item: idOf("long-bar"), from: { site: idOf("panel") }, to: from },
    );
  });
});

test("[clash 1] what only the clock keeps apart is a doubt, mended by an after", () => {
  const { grade, mend } = check(["condition-unordered", "iv-01"], "first-steps", (draft) => {
    stepOf(draft, "ev1-04").after = [];
  });
  expect(grade).toBe("doubt");
  expect(mend.edits).toEqual([{ edit: "add-after", step: "ev1-04", after: "iv-01" }]);
  const slow = check(["condition-unordered", "iv-01"], "first-steps", (draft) => {
    stepOf(draft, "ev1-04").after = [];
    stepOf(draft, "iv-01").duration.maxSeconds = 3000;
  });
  expect(slow.grade).toBe("fault");
});

test("[clash 2] of many steps in the same clash the tightest pair is told", () => {
  const { where } = check(["condition-unordered", "panel-power"], "first-steps", (draft) => {
    stepOf(draft, "ev1-04").after = [];
    for (const id of ["ev1-05", "ev1-06"]) {
      stepOf(draft, id).requires.push({ hardware: idOf("panel-power"), state: "off" });
    }
  });
  expect(where.steps).toEqual(["iv-01", "ev1-04"]);
});

test("[ledger-findings 1], [ledger-findings 2] never so is one thing, sometimes so another", () => {
  check(["condition-never", "filter-bolts"], "first-steps", (draft) => {
    stepOf(draft, "ev1-05").effects = [];
  });
  const clash = check(["condition-unordered", "panel-power"], "first-steps", (draft) => {
    stepOf(draft, "ev1-04").after = [];
  });
  expect(clash.witness).toEqual({
    sort: "orders",
    orders: [
      ["iv-01", "ev1-04"],
      ["ev1-04", "iv-01"],
    ],
  });
});

test("[contention 2] the tightest place is told with those who meet there", () => {
  const { says, mend } = check(["site-crowded", "panel"], "first-steps", (draft) => {
    partOf(draft.sites, "panel").capacity = 1;
  });
  expect(says).toBe("EV1 and EV2 may all be at Filter panel at once; it holds 1.");
  expect(mend.edits).toEqual([]);
});

test("[contention 3] a hand-over outside the other's meet finds busy hands", () => {
  const found = findIn("first-steps", (draft) => {
    stepOf(draft, "ev1-07").meet = null;
  }).filter(({ grade }) => grade !== "advice");
  expect(found.map(({ kind }) => kind)).toContain("hands-busy");
});

test("[hazards 1] a cover without a word on pinching is told, with one to put there", () => {
  const { mend } = check(["hazard-missing", "ev1-04"], "first-steps", (draft) => {
    stepOf(draft, "ev1-04").hazards = [];
  });
  expect(mend.edits).toHaveLength(1);
});

test("[hazards 2] what one step says of a sharp thing the others should say too", () => {
  const sharp = { word: "warning", text: "Sharp frame.", sort: "sharp-edge" } as const;
  const plant = (draft: Draft) => {
    stepOf(draft, "ev1-07").hazards.push({ ...sharp });
    draft.standingHazards = draft.standingHazards.filter(({ sort }) => sort !== "sharp-edge");
  };
  const { grade, where } = check(["hazard-missing", "new-filter"], "first-steps", plant);
  expect(grade).toBe("doubt");
  expect(where.steps.toSorted()).toEqual(["ev1-08", "ev2-04"]);
  const quiet = findIn("first-steps", (draft) => {
    plant(draft);
    draft.standingHazards.push({ ...sharp });
  });
  expect(quiet.filter(({ kind }) => kind === "hazard-missing")).toEqual([]);
});

test("[plays 1], [plays 2] each contingency is checked alone and all together", () => {
  const plays = playsOf(indexProcedure(demoProcedure("petrel-deck")));
  const tasks = ["wet-fitting", "stuck-bolt", "dirty-pins", "tight-cable"];
  expect(plays[0]).toEqual([]);
  expect(plays.slice(1, 5).flat()).toEqual(tasks);
  expect(plays.at(-1)).toEqual(tasks.toSorted());
});

test("[plays 1] what only leads to a choice by another choice is in play with it", () => {
  const draft = structuredClone(demoProcedure("first-steps")) as Draft;
  draft.tasks.push({ ...partOf(draft.tasks, "stuck-bolt"), id: idOf("worse") });
  const choice = stepOf(draft, "ev1-05").choice;
  stepOf(draft, "ev1-x2").choice = {
    question: "Still stuck?",
    branches: [
      { ...(choice?.branches[0] as NonNullable<typeof choice>["branches"][number]) },
      { id: idOf("yes"), label: "Yes", task: idOf("worse") },
    ],
  };
  const plays = playsOf(indexProcedure(draft));
  expect(plays).toEqual([[], ["stuck-bolt"], ["stuck-bolt", "worse"]]);
});

function isApart(plant: (draft: Draft) => unknown): boolean {
  const draft = structuredClone(demoProcedure("petrel-deck")) as Draft;
  plant(draft);
  return areApart(indexProcedure(draft));
}

function take(draft: Draft, step: string, item: string): void {
  stepOf(draft, step).effects.push({
    kind: "item-moved",
    item: idOf(item),
    from: { item: idOf("valve-bag") },
    to: { position: idOf("ev1") },
  });
}

test("[plays 3] tasks that touch one thing, or another lane, are not apart", () => {
  expect(isApart(() => {})).toBe(true);
  expect(isApart((draft) => stepOf(draft, "ev1-wipe").after.push(idOf("iv-bus-off")))).toBe(false);
  expect(isApart((draft) => stepOf(draft, "iv-bleed").after.push(idOf("ev1-wipe")))).toBe(false);
  expect(isApart((draft) => (stepOf(draft, "ev1-wipe").lane = idOf("ev2")))).toBe(false);
  expect(isApart((draft) => take(draft, "ev1-wipe", "breaker-bar"))).toBe(false);
  expect(isApart((draft) => take(draft, "ev1-wipe", "spare-box"))).toBe(false);
  expect(
    isApart((draft) =>
      stepOf(draft, "ev1-wipe").requires.push({
        item: idOf("breaker-bar"),
        at: { item: idOf("valve-bag") },
      }),
    ),
  ).toBe(false);
});

test("[plays 3] what is wrong with one of them is found, and named with it alone", () => {
  const { onlyWith } = check(["item-not-there", "pin-brush"], "petrel-deck", (draft) => {
    effectOf(draft, "ev1-get-brush", "item-moved").from = { item: idOf("ev1-pouch") };
  });
  expect(onlyWith).toEqual(["dirty-pins"]);
});

test("[check-plan 3] what is wrong only in a contingency says so", () => {
  const { onlyWith } = check(["item-not-there", "long-bar"], "first-steps", (draft) => {
    effectOf(draft, "ev1-x1", "item-moved").from = { item: idOf("filter-box") };
  });
  expect(onlyWith).toEqual(["stuck-bolt"]);
  const [advice] = findIn("first-steps", (draft) => {
    stepOf(draft, "ev1-05").choice = null;
  }).filter(({ kind }) => kind === "task-not-called");
  expect(advice?.where.tasks).toEqual(["stuck-bolt"]);
});

test("[check-plan 4], [finding 1] the same plan gives the same findings, the gravest first", () => {
  const planted = plantFaults(demoProcedure("petrel-deck"), seededFaults);
  const index = indexProcedure(planted);
  const found = checkPlan(index);
  expect(checkPlan(indexProcedure(structuredClone(planted)))).toEqual(found);
  const weights = found.map(
    ({ grade, kind }) =>
      ["fault", "doubt", "advice"].indexOf(grade) * 1000 + findingKinds.indexOf(kind),
  );
  expect(weights).toEqual(weights.toSorted((a, b) => a - b));
  expect(sortFindings([...found].reverse(), index.orderNumbers).map(({ kind }) => kind)).toEqual(
    found.map(({ kind }) => kind),
  );
});

test("[unreachable-sites 1] a step where no path leads is told", () => {
  const found = findIn("first-steps", (draft) => {
    draft.sites.push({ ...partOf(draft.sites, "mast"), id: idOf("roof"), name: "Roof" });
    stepOf(draft, "ev2-03").site = idOf("roof");
  });
  const [finding] = found.filter(({ kind }) => kind === "site-unreachable");
  expect([finding?.where.sites, finding?.where.steps]).toEqual([["roof"], ["ev2-03"]]);
});

/** A lane's way along sites. */
function go(id: string, lane: string, sites: readonly string[], more = {}) {
  return aStep(id, {
    lane: idOf(lane),
    sort: "translate",
    site: idOf(sites.at(-1) ?? ""),
    effects: sites.slice(1).map((to, place) => {
      const from = sites[place] ?? "";
      const via = [idOf<never>(from < to ? `${from}-${to}` : `${to}-${from}`)];
      const position = idOf<never>(lane);
      return { kind: "person-moved", position, from: idOf(from), to: idOf(to), via };
    }),
    ...more,
  });
}

/** Four sites in a row, w x y z; EV1 goes from x to z and EV2 from y to w, both on lines from there. */
function crossing(after: readonly string[]): readonly Finding[] {
  const procedure = aProcedure({
    positions: [
      aPosition("ev1", { startsAt: idOf("x") }),
      aPosition("ev2", { startsAt: idOf("y") }),
    ],
    sites: ["w", "x", "y", "z"].map((id) => aSite(id)),
    paths: ["w-x", "x-y", "y-z"].map((id) => aPath(id, id[0] ?? "", id[2] ?? "", 2)),
    tethers: [
      { ...aTether("t1", "ev1"), startsAnchoredAt: idOf("x") },
      { ...aTether("t2", "ev2"), startsAnchoredAt: idOf("y") },
    ],
    items: [],
    hardware: [],
    meets: [],
    clocks: [],
    steps: [
      go("out-1", "ev1", ["x", "y", "z"]),
      go("back-1", "ev1", ["z", "y", "x"]),
      go("out-2", "ev2", ["y", "x", "w"], { after }),
    ],
  });
  return checkPlan(indexProcedure(procedure)).filter(({ kind }) => kind === "tether-crossed");
}

test("[tether-crossings 1] lines that run past each other's anchor at once are told, others not", () => {
  const [found] = crossing([]);
  expect(found?.where.tethers).toEqual(["t1", "t2"]);
  expect(found?.where.sites).toEqual(["x", "y"]);
  expect(crossing(["back-1"])).toEqual([]);
});

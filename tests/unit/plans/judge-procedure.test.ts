// The command's verdicts on bad input: reported whole, in order of importance, and soon.

import { expect, test } from "vitest";
import { aLongPlan } from "../../support/a-long-plan.ts";
import {
  partOf,
  plantFaults,
  seededFaults,
  stepOf,
  type Draft,
} from "../../support/seeded-faults.ts";
import { judgeProcedure } from "../../plans/judge-procedure.ts";
import { demoProcedure } from "../workers/hub/demo/demo-documents.ts";

function judge(plant: (draft: Draft) => unknown) {
  const draft = structuredClone(demoProcedure("first-steps")) as Draft;
  plant(draft);
  return judgeProcedure(JSON.stringify(draft));
}

test("[procedure-findings 1] a sound procedure has no fault, and says how far the hatch and the suits reach", () => {
  const { lines, hasFaults } = judge(() => {});
  expect(hasFaults).toBe(false);
  expect(lines.at(-1)).toBe("0 faults, 0 doubts, advice: 1");
  expect(lines.filter((line) => line.startsWith("return of ev1"))).toHaveLength(1);
});

test("[procedure-findings 1] what the reader refuses is told whole, names before bounds", () => {
  const { lines, hasFaults } = judge((draft) => {
    stepOf(draft, "ev1-05").duration = { minSeconds: 9, likelySeconds: 5, maxSeconds: 1 };
    stepOf(draft, "ev2-03").duration.minSeconds = -1;
    stepOf(draft, "ev1-06").after = ["nowhere" as never];
    partOf(draft.items, "driver").startsAt = { site: "attic" as never };
    draft.items.push(structuredClone(partOf(draft.items, "driver")));
    const suit = draft.positions[0]?.suit;
    if (suit) suit.oxygen.unit = "psi";
  });
  expect(hasFaults).toBe(true);
  const codes = lines.flatMap((line) => line.match(/^FAULT ([a-z-]+) at/)?.[1] ?? []);
  expect(codes).toEqual(
    expect.arrayContaining(["doubled-id", "unknown-step", "unknown-site", "duration-out-of-order"]),
  );
  expect(lines.some((line) => line.includes("/positions/0/suit/oxygen"))).toBe(true);
  expect(lines.some((line) => line.includes("minSeconds"))).toBe(true);
  const [doubled, bounds] = ["doubled-id", "duration-out-of-order"].map((c) => codes.indexOf(c));
  expect(doubled).toBeLessThan(bounds ?? 0);
  expect(judgeProcedure("{").hasFaults).toBe(true);
});

test("[procedure-findings 1] circles, lost sites and an item held twice are told with witness and mend", () => {
  const { lines, hasFaults } = judge((draft) => {
    stepOf(draft, "ev1-06").after = ["ev2-07" as never];
    draft.sites.push({ ...partOf(draft.sites, "mast"), id: "roof" as never, name: "Roof" });
    stepOf(draft, "ev2-06").site = "roof" as never;
    const take = {
      kind: "item-moved",
      item: "old-filter" as never,
      from: { site: "panel" as never },
      to: { position: "ev2" as never },
    } as const;
    stepOf(draft, "ev2-06").effects.push(take);
  });
  expect(hasFaults).toBe(true);
  const found = lines
    .filter((line) => line.startsWith("FAULT"))
    .map((line) => line.split(/[ :]/)[1]);
  expect(found[0]).toBe("deadlock");
  expect(found).toEqual(expect.arrayContaining(["site-unreachable", "item-not-there"]));
  expect(lines.filter((line) => line.startsWith("    circle:"))).toHaveLength(1);
  expect(lines.some((line) => line.startsWith("    edit: remove-after"))).toBe(true);
});

test("[procedure-findings 1] every seeded fault is in the lines", () => {
  const planted = plantFaults(demoProcedure("petrel-deck"), seededFaults);
  const { lines } = judgeProcedure(JSON.stringify(planted));
  for (const { kind } of seededFaults) {
    expect(lines.some((line) => line.match(/^(FAULT|doubt) ([a-z-]+):/)?.[2] === kind)).toBe(true);
  }
});

test("[procedure-findings 2] ten thousand sound steps, and thousands of wrong ones, are judged", () => {
  const { lines } = judgeProcedure(JSON.stringify(aLongPlan(10_000)));
  expect(lines.filter((line) => /^FAULT (?!consumable)/.test(line))).toEqual([]);
  expect(lines.some((line) => line.startsWith("advice plan-too-large"))).toBe(true);
  const sound = aLongPlan(2000);
  const loose = { ...sound, steps: sound.steps.map((step) => ({ ...step, after: [] })) };
  const wrong = judgeProcedure(JSON.stringify(loose));
  expect(wrong.hasFaults).toBe(true);
  expect(wrong.lines.length).toBeLessThan(2000);
  const round = sound.steps.map((step, place) => {
    const next = sound.steps[(place + 7) % sound.steps.length];
    return { ...step, after: next === undefined ? [] : [next.id] };
  });
  const circles = judgeProcedure(JSON.stringify({ ...sound, steps: round }));
  expect(circles.lines[1]).toMatch(/^FAULT deadlock/);
});

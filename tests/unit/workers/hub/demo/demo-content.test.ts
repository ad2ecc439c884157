// The demo documents hold what they promise to hold, and their numbers fit each other.
//
// Counts are those of the demo scenario. Numbers are held against outside values where there are any;
// rules of the trade without a source say so.

import { describe, expect, test } from "vitest";
import { injectScriptFaults } from "../../../../../machines/procedure/read-inject-script.ts";
import type { Procedure } from "../../../../../machines/procedure/procedure.ts";
import type { StepSort } from "../../../../../machines/procedure/step.ts";
import { demoInjects, demoNames, demoProcedure } from "./demo-documents.ts";

const everyStepSort: Record<StepSort, true> = {
  egress: true,
  ingress: true,
  translate: true,
  "swap-tether": true,
  retrieve: true,
  stow: true,
  install: true,
  remove: true,
  "hand-over": true,
  connect: true,
  disconnect: true,
  cap: true,
  "release-fasteners": true,
  "torque-fasteners": true,
  "open-cover": true,
  "close-cover": true,
  "route-cable": true,
  "ride-arm": true,
  "move-arm": true,
  inspect: true,
  photograph: true,
  verify: true,
  wait: true,
  talk: true,
};

const petrel = demoProcedure("petrel-deck");
const small = demoProcedure("first-steps");
const sorted = (words: Iterable<string>) => [...new Set(words)].toSorted();

describe("petrel-deck", () => {
  test("it is as large as the scenario asks", () => {
    expect(petrel.steps.length).toBeGreaterThanOrEqual(150);
    expect(petrel.steps.length).toBeLessThanOrEqual(250);
    expect(petrel.sites.length).toBeGreaterThanOrEqual(25);
    expect(petrel.items.length).toBeGreaterThanOrEqual(60);
    expect(demoInjects("petrel-deck").injects.length).toBeGreaterThanOrEqual(12);
  });

  test("it has every sort of step, gate, effect, window and hazard word", () => {
    const { steps, windows, positions } = petrel;
    expect(sorted(steps.map((step) => step.sort))).toEqual(sorted(Object.keys(everyStepSort)));
    const gates = steps.flatMap((step) => step.gates.map((gate) => gate.sort));
    expect(sorted(gates)).toEqual(["count", "go", "reading"]);
    const effects = sorted(steps.flatMap((step) => step.effects.map((effect) => effect.kind)));
    expect(effects).toEqual([
      "arm-moved",
      "hardware-set",
      "item-moved",
      "person-moved",
      "restraint-entered",
      "restraint-left",
      "tether-anchored",
      "tether-released",
    ]);
    expect(sorted(windows.map((window) => window.sort))).toEqual(["arm", "dark", "light", "loop"]);
    const words = steps.flatMap((step) => step.hazards.map((hazard) => hazard.word));
    expect(sorted(words)).toEqual(["caution", "note", "warning"]);
    const lanes = positions.map((position) => position.sort);
    expect(sorted(lanes)).toEqual(["arm", "inside", "suited", "support"]);
  });

  test("it has both sorts of repeat, choices, clocks, light-needing and get-ahead work", () => {
    const { steps, clocks, tasks } = petrel;
    expect(steps.some((step) => step.repeat && "until" in step.repeat)).toBe(true);
    expect(steps.some((step) => step.repeat && "times" in step.repeat)).toBe(true);
    expect(steps.filter((step) => step.choice).length).toBeGreaterThanOrEqual(3);
    expect(sorted(clocks.map((clock) => clock.sort))).toEqual(["other", "power-off", "thermal"]);
    expect(steps.some((step) => step.needsWindows.some((window) => window === "light"))).toBe(true);
    expect(tasks.some((task) => task.getAhead)).toBe(true);
    expect(new Set(tasks.filter((t) => t.deferrable).map((t) => t.priority)).size).toBeGreaterThan(
      2,
    );
  });

  test("its dark passes are those of an orbit of 400 km", () => {
    // T = 92.560 min and 36.11 min of eclipse at beta 0, from T = 2 pi sqrt((R+h)^3/GM) and the
    // cylindrical shadow; the demo rounds to 92.6 and 36, so half a tenth and two tenths of a minute.
    const dark = petrel.windows.find((window) => window.sort === "dark")?.spans ?? [];
    for (const [index, span] of dark.entries()) {
      expect(Math.abs((span.toSeconds - span.fromSeconds) / 60 - 36.11)).toBeLessThan(0.2);
      const next = dark[index + 1];
      if (next) {
        expect(Math.abs((next.fromSeconds - span.fromSeconds) / 60 - 92.56)).toBeLessThan(0.06);
      }
    }
    expect(dark.length).toBeGreaterThanOrEqual(4);
  });

  test("its suits hold what a run of full length uses at the mean rate", () => {
    // At 1000 Btu/h: 72.9 g/h of oxygen and 90.8 g/h of CO2 (Weir 1949, RQ 0.90), 0.822 lb/h of water
    // sublimated (2.83 MJ/kg); equipment heat is extra and left out here.
    const hours = petrel.limits.runSecondsMax / 3600;
    for (const { suit } of petrel.positions) {
      if (!suit) {
        continue;
      }
      expect(suit.metabolicRate).toMatchObject({ value: 1000, unit: "Btu/h" });
      expect(suit.oxygen.value).toBeGreaterThan(0.0729 * hours);
      expect(suit.scrubber.value).toBeGreaterThan(0.0908 * hours);
      expect(suit.coolingWater.value).toBeGreaterThan(0.822 * 0.45359237 * hours);
      expect(suit.battery.value).toBeGreaterThan(suit.batteryLoad.value * hours);
    }
  });
});

describe("first-steps", () => {
  test("it has twenty steps in play, and more for its contingency", () => {
    const inPlay = new Set(small.tasks.filter((t) => !t.contingency).map((t) => t.id));
    expect(small.steps.filter((step) => inPlay.has(step.task))).toHaveLength(20);
    expect(small.steps.length).toBeGreaterThan(20);
  });

  test("it shows every gate sort, two meets, a hand over and a choice", () => {
    const gates = small.steps.flatMap((step) => step.gates.map((gate) => gate.sort));
    expect(sorted(gates)).toEqual(["count", "go", "reading"]);
    expect(small.meets).toHaveLength(2);
    expect(small.steps.some((step) => step.sort === "hand-over")).toBe(true);
    expect(small.steps.some((step) => step.sort === "swap-tether")).toBe(true);
    expect(small.steps.filter((step) => step.choice)).toHaveLength(1);
    expect(small.recurringChecks).toHaveLength(1);
    expect(demoInjects("first-steps").injects).toHaveLength(4);
  });
});

describe.each(demoNames)("%s", (name) => {
  const procedure = demoProcedure(name);

  test("its inject script names only lanes and steps that it has", () => {
    expect(injectScriptFaults(demoInjects(name), procedure)).toEqual([]);
  });

  test("each path is at least as long as the straight line and at most a quarter longer", () => {
    const points = new Map(procedure.sites.map((site) => [site.id, site.pointMetres]));
    for (const path of procedure.paths) {
      const [a, b] = [points.get(path.from), points.get(path.to)];
      const straight = a && b ? Math.hypot(a.x - b.x, a.y - b.y, a.z - b.z) : NaN;
      expect(path.lengthMetres, path.id).toBeGreaterThanOrEqual(straight - 0.001);
      expect(path.lengthMetres, path.id).toBeLessThanOrEqual(straight * 1.25 + 0.1);
    }
  });

  test("a translation lasts no less than its paths", () => {
    for (const step of procedure.steps) {
      for (const key of ["minSeconds", "likelySeconds", "maxSeconds"] as const) {
        const onPaths = step.effects
          .flatMap((effect) => (effect.kind === "person-moved" ? effect.via : []))
          .map((id) => procedure.paths.find((path) => path.id === id)?.duration[key] ?? Infinity)
          .reduce((sum, seconds) => sum + seconds, 0);
        expect(step.duration[key], step.id).toBeGreaterThanOrEqual(onPaths);
      }
    }
  });

  test("from every site where somebody works the hatch is near enough by the paths", () => {
    const seconds = secondsToHatch(procedure);
    for (const step of procedure.steps) {
      const arm = procedure.arms.find((a) => a.tip === step.site);
      for (const site of arm ? arm.reaches.filter((s) => s !== arm.startsAt) : [step.site]) {
        if (site !== null) {
          const says = `${step.id} at ${site}`;
          expect(seconds.get(site), says).toBeLessThan(procedure.limits.hatchWithinSeconds);
        }
      }
    }
  });

  test("a hazard statement tells no action: it does not begin with one", () => {
    // Common practice, no source: an imperative at its head makes a hazard statement a hidden step.
    const verbs = /^(Do|Keep|Make|Hold|Stay|Check|Turn|Push|Pull|Avoid|Never|Ensure|Use|Watch)\b/;
    for (const hazard of [
      ...procedure.standingHazards,
      ...procedure.steps.flatMap((s) => s.hazards),
    ]) {
      expect(hazard.text).not.toMatch(verbs);
    }
  });

  test("each quantity of a suit says where it comes from", () => {
    for (const { suit } of procedure.positions) {
      const { metabolicRateBySort, ...rest } = suit ?? { metabolicRateBySort: {} };
      for (const quantity of [...Object.values(rest), ...Object.values(metabolicRateBySort)]) {
        expect(quantity.source.length).toBeGreaterThan(10);
        if (/memory|[Ii]nvented/.test(quantity.source)) {
          expect(quantity.verified).toBe(false);
        }
      }
    }
  });
});

/** Likely seconds by paths alone from each site to the nearest hatch; relaxed until nothing changes. */
function secondsToHatch(procedure: Procedure): ReadonlyMap<string, number> {
  const seconds = new Map<string, number>(
    procedure.sites.map((site) => [site.id, site.sort === "hatch" ? 0 : Infinity]),
  );
  for (let turn = 0; turn < procedure.sites.length; turn += 1) {
    for (const { from, to, duration } of procedure.paths) {
      const [a, b] = [seconds.get(from) ?? Infinity, seconds.get(to) ?? Infinity];
      seconds.set(from, Math.min(a, b + duration.likelySeconds));
      seconds.set(to, Math.min(b, a + duration.likelySeconds));
    }
  }
  return seconds;
}

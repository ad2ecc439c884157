// A sound plan of any length: rounds of work in which two suited lanes and the reader go out, do their
// part, meet and come back.

import type { Procedure } from "../../machines/procedure/procedure.ts";
import type { Effect, Step } from "../../machines/procedure/step.ts";
import { aProcedure } from "./a-procedure.ts";
import { aStep, aTask, anItem } from "./procedure-parts.ts";

const id = <Id extends string>(text: string) => text as Id;

/** A plan of at least so many steps, in rounds of ten. */
export function aLongPlan(steps: number): Procedure {
  const rounds = Array.from({ length: Math.ceil(steps / 10) }, (_, round) => round);
  const base = aProcedure();
  return {
    ...base,
    tasks: [aTask("bracket")],
    items: [
      anItem("bag", "bag", { position: id("ev1") }),
      anItem("driver", "tool", { item: id("bag") }),
    ],
    meets: rounds.map((round) => ({ id: id(`meet-${round}`), name: `Round ${round}` })),
    clocks: [],
    steps: rounds.flatMap(aRound),
    limits: { runSecondsMax: 1e9, reserveSeconds: 600, hatchWithinSeconds: 900 },
  };
}

function aRound(round: number): Step[] {
  const meet = id<never>(`meet-${round}`);
  const driver = (from: object, to: object): Effect =>
    ({ kind: "item-moved", item: id("driver"), from, to }) as never;
  const bag = { item: "bag" };
  const power = (state: string): Effect => ({
    kind: "hardware-set",
    hardware: id("heater-power"),
    state,
  });
  const off = [{ hardware: id<never>("heater-power"), state: "off" }];
  const step = (name: string, lane: string, more: Partial<Step> = {}) =>
    aStep(`${name}-${round}`, { lane: id(lane), ...more });
  return [
    step("power-off", "iv", { effects: [power("off")] }),
    step("power-on", "iv", { effects: [power("on")], after: [id(`close-${round}`)] }),
    go(round, "ev1", "hatch", "rack"),
    step("take", "ev1", { effects: [driver(bag, { position: "ev1" })], meet }),
    step("open", "ev1", { requires: off, after: [id(`power-off-${round}`)] }),
    step("close", "ev1", { requires: off, effects: [driver({ position: "ev1" }, bag)] }),
    go(round, "ev1", "rack", "hatch"),
    go(round, "ev2", "hatch", "rack"),
    step("help", "ev2", { meet }),
    go(round, "ev2", "rack", "hatch"),
  ];
}

function go(round: number, lane: string, from: string, to: string): Step {
  return aStep(`${lane}-to-${to}-${round}`, {
    lane: id(lane),
    sort: "translate",
    site: id(to),
    effects: [
      {
        kind: "person-moved",
        position: id(lane),
        from: id(from),
        to: id(to),
        via: [id("hatch-rack")],
      },
    ],
  });
}

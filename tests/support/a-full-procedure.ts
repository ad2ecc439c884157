// The small procedure with one of every kind added that a procedure can hold: an arm and its ride, every
// sort of effect, condition, place, gate and repeat. For tests of readers; nobody could carry it out.

import type {
  ArmId,
  GateId,
  HardwareId,
  ItemId,
  PathId,
  PositionId,
  SiteId,
  StepId,
  TetherId,
} from "../../machines/procedure/ids.ts";
import type { Condition } from "../../machines/procedure/condition.ts";
import type { Procedure } from "../../machines/procedure/procedure.ts";
import type { Effect } from "../../machines/procedure/step.ts";
import { aProcedure } from "./a-procedure.ts";
import { aPath, aPosition, aSite, aStep } from "./procedure-parts.ts";

/** The procedure. Always a new object. */
export function aFullProcedure(): Procedure {
  const small = aProcedure();
  return {
    ...small,
    summary: "",
    setting: "pool",
    displayUnits: {
      torque: "in·lbf",
      pressure: "mmHg",
      heatRate: "kcal/h",
      mass: "lb",
      length: "ft",
    },
    positions: [
      ...small.positions,
      aPosition("arm-op", { sort: "arm", marking: { pattern: "bars", colour: "purple" } }),
      aPosition("diver", { sort: "support", marking: { pattern: "waves", colour: "grey" } }),
    ],
    sites: [...small.sites, aSite("tip", { sort: "arm-tip" }), aSite("post", { sort: "anchor" })],
    paths: [
      ...small.paths,
      { ...aPath("rack-post", "rack", "post", 1), closedWhile: everyCondition() },
    ],
    arms: [
      {
        id: "arm-1" as ArmId,
        name: "Arm",
        tip: "tip" as SiteId,
        reaches: ["rack", "post"] as SiteId[],
        startsAt: "rack" as SiteId,
      },
    ],
    steps: [
      ...small.steps,
      aStep("everything", {
        site: "rack" as SiteId,
        requires: everyCondition(),
        effects: everyEffect(),
        gates: [
          {
            id: "open-gate" as GateId,
            before: "start",
            sort: "reading",
            label: "Current",
            unit: "1",
            min: null,
            max: null,
          },
        ],
        repeat: { times: 3, everySeconds: 60 },
        after: ["iv-power-off" as StepId],
      }),
    ],
  };
}

function everyCondition(): Condition[] {
  return [
    { hardware: "heater-power" as HardwareId, state: "off" },
    { item: "driver" as ItemId, at: { position: "ev1" as PositionId } },
    { item: "driver" as ItemId, at: { site: "rack" as SiteId } },
    { item: "driver" as ItemId, at: { item: "tool-bag" as ItemId } },
    { arm: "arm-1" as ArmId, at: "post" as SiteId },
    { position: "ev1" as PositionId, inRestraint: "restraint" as ItemId },
  ];
}

function everyEffect(): Effect[] {
  const person = { kind: "person-moved", position: "ev1" as PositionId } as const;
  return [
    {
      kind: "item-moved",
      item: "driver" as ItemId,
      from: { item: "tool-bag" as ItemId },
      to: { position: "ev1" as PositionId },
    },
    { ...person, from: "rack" as SiteId, to: "tip" as SiteId, via: [] },
    {
      ...person,
      from: "shelf" as SiteId,
      to: "post" as SiteId,
      via: ["rack-shelf", "rack-post"] as PathId[],
    },
    { kind: "tether-anchored", tether: "tether-1" as TetherId, at: "rack" as SiteId },
    { kind: "tether-released", tether: "tether-1" as TetherId, at: "hatch" as SiteId },
    {
      kind: "restraint-entered",
      position: "ev1" as PositionId,
      item: "restraint" as ItemId,
    },
    { kind: "restraint-left", position: "ev1" as PositionId, item: "restraint" as ItemId },
    { kind: "hardware-set", hardware: "heater-power" as HardwareId, state: "off" },
    { kind: "arm-moved", arm: "arm-1" as ArmId, from: "rack" as SiteId, to: "post" as SiteId },
  ];
}

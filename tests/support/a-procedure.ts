// A small valid procedure for tests: two suited lanes and the reader, one hour in the high bay.
//
// It has a meet, a caution, a warning, a count gate, a reading gate, a GO gate, tether swaps, a
// repeated step, a clock and a contingency choice. Every name and figure in it is invented.

import type {
  BranchId,
  CheckId,
  ClockId,
  GateId,
  HardwareId,
  ItemId,
  MeetId,
  PositionId,
  ReadingId,
  SiteId,
  StepId,
  TaskId,
  TetherId,
  WindowId,
} from "../../machines/procedure/ids.ts";
import type { Arm, Procedure } from "../../machines/procedure/procedure.ts";
import type { Step } from "../../machines/procedure/step.ts";
import {
  aStep,
  aPosition,
  aSite,
  aTask,
  aPath,
  anItem,
  aTether,
  aMove,
} from "./procedure-parts.ts";

/** The procedure, with the members that a test wants otherwise. Always a new object. */
export function aProcedure(overrides: Partial<Procedure> = {}): Procedure {
  return {
    format: "lanehold.procedure",
    formatVersion: 1,
    id: "bracket-swap",
    title: "Bracket swap in the high bay",
    revision: "A",
    summary: "Two crew swap a bracket and check a seal.",
    setting: "high-bay",
    displayUnits: { torque: "N·m", pressure: "kPa", heatRate: "W", mass: "kg", length: "m" },
    ...places(),
    ...things(),
    meets: [{ id: "meet-1" as MeetId, name: "Both at the rack" }],
    tasks: [
      aTask("go-out", { priority: 1 }),
      aTask("bracket", { priority: 2 }),
      aTask("stuck-bolt", { priority: 2, contingency: true }),
      aTask("come-in", { priority: 1 }),
    ],
    steps: steps(),
    ...bounds(),
    briefing: [
      {
        id: "stop-words",
        title: "Stop words",
        presenter: "iv" as PositionId,
        text: "Who is unsure says stop.",
      },
    ],
    standingHazards: [
      { word: "caution", text: "The rack's door edge scratches visors.", sort: "other" },
    ],
    ...overrides,
  };
}

function places() {
  return {
    positions: [
      aPosition("ev1", { startsAt: "hatch" as SiteId }),
      aPosition("ev2", {
        startsAt: "hatch" as SiteId,
        marking: { pattern: "dashes", colour: "orange" },
      }),
      aPosition("iv", { sort: "inside", marking: { pattern: "dots", colour: "green" } }),
    ],
    sites: [
      aSite("hatch", { sort: "hatch" }),
      aSite("rack", { pointMetres: { x: 4, y: 0, z: 1 } }),
      aSite("shelf", { sort: "stowage", pointMetres: { x: 2, y: 1, z: 1 }, capacity: 1 }),
    ],
    paths: [
      aPath("hatch-rack", "hatch", "rack", 4.2),
      aPath("hatch-shelf", "hatch", "shelf", 2.5),
      aPath("rack-shelf", "rack", "shelf", 2.3),
    ],
  };
}

function things() {
  return {
    items: [
      anItem("tool-bag", "bag", { position: "ev1" as PositionId }),
      anItem("driver", "tool", { item: "tool-bag" as ItemId }),
      anItem("bracket", "part", { item: "tool-bag" as ItemId }, { site: "rack" as SiteId }),
      anItem("restraint", "foot-restraint", { site: "rack" as SiteId }),
    ],
    tethers: [aTether("tether-1", "ev1"), aTether("tether-2", "ev2")],
    arms: [] as Arm[],
    hardware: [
      {
        id: "heater-power" as HardwareId,
        name: "Heater power",
        site: null,
        states: ["on", "off"],
        startsAs: "on",
      },
    ],
  };
}

function bounds() {
  return {
    clocks: [
      {
        id: "heater-off" as ClockId,
        name: "Heater off",
        sort: "thermal" as const,
        from: { step: "iv-power-off" as StepId, at: "done" as const },
        to: { step: "ev1-torque" as StepId, at: "done" as const },
        atLeastSeconds: null,
        atMostSeconds: 2700,
        why: "The seal grows cold.",
      },
    ],
    windows: [
      {
        id: "lights-on" as WindowId,
        name: "Lights on",
        sort: "light" as const,
        spans: [{ fromSeconds: 0, toSeconds: 3600 }],
      },
    ],
    limits: { runSecondsMax: 3600, reserveSeconds: 600, hatchWithinSeconds: 300 },
    recurringChecks: [
      {
        id: "suit-check" as CheckId,
        name: "Suit check",
        everySeconds: 1200,
        positions: ["ev1" as PositionId, "ev2" as PositionId],
        readings: [
          {
            id: "suit-pressure" as ReadingId,
            label: "Suit pressure",
            unit: "kPa" as const,
            min: 28,
            max: 31,
          },
        ],
      },
    ],
  };
}

function steps(): Step[] {
  return [...insideSteps(), ...outSteps(), ...bracketSteps(), ...stuckBoltSteps(), ...homeSteps()];
}

const ev2 = { lane: "ev2" as PositionId };
const iv = { lane: "iv" as PositionId };
const atRack = { site: "rack" as SiteId };

function insideSteps(): Step[] {
  return [
    aStep("iv-power-off", {
      ...iv,
      sort: "verify",
      text: "Verify heater power off.",
      effects: [{ kind: "hardware-set", hardware: "heater-power" as HardwareId, state: "off" }],
      callOut: { challenge: "Heater power?", response: "Off." },
    }),
  ];
}

function outSteps(): Step[] {
  return [
    aMove("ev1-to-rack", "ev1", "hatch", "rack"),
    aStep("ev1-swap-tether", {
      ...atRack,
      task: "go-out" as TaskId,
      sort: "swap-tether",
      text: "Anchor the tether at the rack.",
      hazards: [{ word: "caution", text: "A slack tether snags on the door.", sort: "snag" }],
      effects: [
        { kind: "tether-anchored", tether: "tether-1" as TetherId, at: "rack" as SiteId },
        { kind: "tether-released", tether: "tether-1" as TetherId, at: "hatch" as SiteId },
      ],
    }),
    aMove("ev2-to-rack", "ev2", "hatch", "rack"),
  ];
}

function bracketSteps(): Step[] {
  return [
    aStep("ev1-meet", { ...atRack, sort: "talk", meet: "meet-1" as MeetId, text: "Call ready." }),
    aStep("ev2-meet", {
      ...ev2,
      ...atRack,
      sort: "talk",
      meet: "meet-1" as MeetId,
      text: "Call ready.",
    }),
    aStep("ev1-torque", {
      ...atRack,
      sort: "torque-fasteners",
      text: "Torque the bracket's bolts.",
      hazards: [
        { word: "note", text: "The bolts are captive.", sort: "other" },
        { word: "warning", text: "The driver pinches gloves.", sort: "pinch" },
      ],
      gates: [
        {
          id: "go" as GateId,
          before: "start",
          sort: "go",
          from: "iv" as PositionId,
          reason: "The heater must be off.",
          meanwhile: "IV watches the heater current.",
        },
        { id: "bolts" as GateId, before: "done", sort: "count", label: "Bolts torqued", target: 4 },
      ],
      requires: [{ hardware: "heater-power" as HardwareId, state: "off" }],
      effects: [
        {
          kind: "item-moved",
          item: "bracket" as ItemId,
          from: { item: "tool-bag" as ItemId },
          to: { site: "rack" as SiteId },
        },
      ],
      after: ["iv-power-off" as StepId],
      needsWindows: ["lights-on" as WindowId],
      fasteners: {
        count: 4,
        turns: 6,
        torque: { value: 12, unit: "ft·lbf" },
        tool: "driver" as ItemId,
      },
      choice: {
        question: "Did all bolts turn?",
        branches: [
          { id: "all-turned" as BranchId, label: "All turned", task: null },
          { id: "one-stuck" as BranchId, label: "One is stuck", task: "stuck-bolt" as TaskId },
        ],
      },
    }),
    aStep("ev2-seal", {
      ...ev2,
      ...atRack,
      sort: "verify",
      text: "Read the seal pressure.",
      gates: [
        {
          id: "seal" as GateId,
          before: "done",
          sort: "reading",
          label: "Seal pressure",
          unit: "kPa",
          min: 95,
          max: 105,
        },
      ],
      after: ["ev1-torque" as StepId],
      repeat: { until: "the reading holds for one minute" },
    }),
  ];
}

function stuckBoltSteps(): Step[] {
  return [
    aStep("ev1-back-off", {
      ...atRack,
      task: "stuck-bolt" as TaskId,
      sort: "release-fasteners",
      text: "Back the stuck bolt off two turns.",
      fasteners: {
        count: 1,
        turns: 2,
        torque: { value: 20, unit: "N·m" },
        tool: "driver" as ItemId,
      },
    }),
  ];
}

function homeSteps(): Step[] {
  return [
    aStep("ev1-swap-back", {
      ...atRack,
      task: "come-in" as TaskId,
      sort: "swap-tether",
      text: "Anchor the tether at the hatch.",
      effects: [
        { kind: "tether-anchored", tether: "tether-1" as TetherId, at: "hatch" as SiteId },
        { kind: "tether-released", tether: "tether-1" as TetherId, at: "rack" as SiteId },
      ],
    }),
    aMove("ev1-home", "ev1", "rack", "hatch"),
    aMove("ev2-home", "ev2", "rack", "hatch"),
  ];
}

// The shape of a procedure document, as `procedure.ts` types it and `procedure.schema.json`
// publishes it. What cannot be told from one value alone (references, order of durations) is in
// `procedure-faults.ts`.

import { unitFactors, units } from "../units/factors.ts";
import type { Dimension, Unit } from "../units/quantity.ts";
import type {
  ArmId,
  BranchId,
  CheckId,
  ClockId,
  GateId,
  HardwareId,
  ItemId,
  MeetId,
  PathId,
  PositionId,
  ReadingId,
  SiteId,
  StepId,
  TaskId,
  TetherId,
  WindowId,
} from "./ids.ts";
import { procedureFormat } from "./procedure.ts";
import type { SourcedQuantity } from "./procedure.ts";
import {
  anyText,
  byMember,
  exactly,
  id,
  list,
  nullable,
  number,
  object,
  oneOf,
  record,
  text,
  truth,
  variants,
  wholeNumber,
} from "./read-shape.ts";
import type { Shape } from "./read-shape.ts";

const seconds = number({ min: 0 });
const someSeconds = number({ above: 0 });
const unit = oneOf(units);

const stepSorts = [
  "egress",
  "ingress",
  "translate",
  "swap-tether",
  "retrieve",
  "stow",
  "install",
  "remove",
  "hand-over",
  "connect",
  "disconnect",
  "cap",
  "release-fasteners",
  "torque-fasteners",
  "open-cover",
  "close-cover",
  "route-cable",
  "ride-arm",
  "move-arm",
  "inspect",
  "photograph",
  "verify",
  "wait",
  "talk",
] as const;

const duration = object({
  minSeconds: seconds,
  likelySeconds: seconds,
  maxSeconds: seconds,
});

const suit = object({
  oxygen: sourced("mass"),
  scrubber: sourced("mass"),
  battery: sourced("energy"),
  batteryLoad: sourced("heat-rate"),
  coolingWater: sourced("mass"),
  metabolicRate: sourced("heat-rate"),
  metabolicRateBySort: record(stepSorts, sourced("heat-rate")),
});

const position = object({
  id: id<PositionId>(),
  name: text,
  sort: oneOf(["suited", "inside", "arm", "support"]),
  marking: object({
    pattern: oneOf(["solid", "dashes", "dots", "bars", "waves"]),
    colour: oneOf(["blue", "orange", "green", "purple", "grey"]),
  }),
  startsAt: nullable(id<SiteId>()),
  suit: nullable(suit),
});

const site = object({
  id: id<SiteId>(),
  name: text,
  sort: oneOf(["hatch", "worksite", "stowage", "anchor", "arm-tip"]),
  pointMetres: object({ x: number(), y: number(), z: number() }),
  capacity: wholeNumber({ min: 1 }),
});

const place = byMember({
  site: object({ site: id<SiteId>() }),
  item: object({ item: id<ItemId>() }),
  position: object({ position: id<PositionId>() }),
});

const condition = byMember({
  hardware: object({ hardware: id<HardwareId>(), state: text }),
  item: object({ item: id<ItemId>(), at: place }),
  arm: object({ arm: id<ArmId>(), at: id<SiteId>() }),
  position: object({ position: id<PositionId>(), inRestraint: id<ItemId>() }),
});

const path = object({
  id: id<PathId>(),
  from: id<SiteId>(),
  to: id<SiteId>(),
  lengthMetres: number({ min: 0 }),
  duration,
  closedWhile: list(condition),
});

const item = object({
  id: id<ItemId>(),
  name: text,
  sort: oneOf(["bag", "tool", "foot-restraint", "tether", "cable", "cap", "cover", "part"]),
  startsAt: place,
  mustEndAt: list(place, 1),
});

const tether = object({
  id: id<TetherId>(),
  name: text,
  wornBy: id<PositionId>(),
  lengthMetres: number({ above: 0 }),
  anchorSites: list(id<SiteId>(), 1),
  startsAnchoredAt: nullable(id<SiteId>()),
});

const arm = object({
  id: id<ArmId>(),
  name: text,
  tip: id<SiteId>(),
  reaches: list(id<SiteId>(), 1),
  startsAt: id<SiteId>(),
});

const hardware = object({
  id: id<HardwareId>(),
  name: text,
  site: nullable(id<SiteId>()),
  states: list(text, 1),
  startsAs: text,
});

const task = object({
  id: id<TaskId>(),
  name: text,
  priority: wholeNumber({ min: 1 }),
  deferrable: truth,
  getAhead: truth,
  contingency: truth,
});

const hazard = object({
  word: oneOf(["warning", "caution", "note"]),
  text,
  sort: oneOf([
    "connector",
    "pinch",
    "sharp-edge",
    "hot-surface",
    "moving-arm",
    "stored-energy",
    "snag",
    "other",
  ]),
});

const gateBase = { id: id<GateId>(), before: oneOf(["start", "done"]) };

const gate = variants("sort", {
  count: object({
    ...gateBase,
    sort: exactly("count"),
    label: text,
    target: wholeNumber({ min: 1 }),
  }),
  reading: object({
    ...gateBase,
    sort: exactly("reading"),
    label: text,
    unit,
    min: nullable(number()),
    max: nullable(number()),
  }),
  go: object({
    ...gateBase,
    sort: exactly("go"),
    from: id<PositionId>(),
    reason: text,
    meanwhile: text,
  }),
});

const effect = variants("kind", {
  "item-moved": object({
    kind: exactly("item-moved"),
    item: id<ItemId>(),
    from: place,
    to: place,
  }),
  "person-moved": object({
    kind: exactly("person-moved"),
    position: id<PositionId>(),
    from: id<SiteId>(),
    to: id<SiteId>(),
    via: list(id<PathId>()),
  }),
  "tether-anchored": tetherEffect("tether-anchored"),
  "tether-released": tetherEffect("tether-released"),
  "restraint-entered": restraintEffect("restraint-entered"),
  "restraint-left": restraintEffect("restraint-left"),
  "hardware-set": object({
    kind: exactly("hardware-set"),
    hardware: id<HardwareId>(),
    state: text,
  }),
  "arm-moved": object({
    kind: exactly("arm-moved"),
    arm: id<ArmId>(),
    from: id<SiteId>(),
    to: id<SiteId>(),
  }),
});

const choice = object({
  question: text,
  branches: list(object({ id: id<BranchId>(), label: text, task: nullable(id<TaskId>()) }), 2),
});

const step = object({
  id: id<StepId>(),
  lane: id<PositionId>(),
  task: id<TaskId>(),
  sort: oneOf(stepSorts),
  text,
  site: nullable(id<SiteId>()),
  duration,
  hazards: list(hazard),
  gates: list(gate),
  requires: list(condition),
  effects: list(effect),
  after: list(id<StepId>()),
  meet: nullable(id<MeetId>()),
  needsWindows: list(id<WindowId>()),
  fasteners: nullable(
    object({
      count: wholeNumber({ min: 1 }),
      turns: number({ above: 0 }),
      torque: object({ value: number({ above: 0 }), unit: unitOf("torque") }),
      tool: id<ItemId>(),
    }),
  ),
  repeat: nullable(
    byMember({
      until: object({ until: text }),
      times: object({ times: wholeNumber({ min: 1 }), everySeconds: seconds }),
    }),
  ),
  choice: nullable(choice),
  callOut: nullable(object({ challenge: text, response: text })),
});

const moment = object({ step: id<StepId>(), at: oneOf(["start", "done"]) });

const clock = object({
  id: id<ClockId>(),
  name: text,
  sort: oneOf(["thermal", "power-off", "other"]),
  from: moment,
  to: moment,
  atLeastSeconds: nullable(seconds),
  atMostSeconds: nullable(seconds),
  why: text,
});

const timeWindow = object({
  id: id<WindowId>(),
  name: text,
  sort: oneOf(["light", "dark", "arm", "loop"]),
  spans: list(object({ fromSeconds: seconds, toSeconds: seconds }), 1),
});

const recurringCheck = object({
  id: id<CheckId>(),
  name: text,
  everySeconds: someSeconds,
  positions: list(id<PositionId>(), 1),
  readings: list(
    object({
      id: id<ReadingId>(),
      label: text,
      unit,
      min: nullable(number()),
      max: nullable(number()),
    }),
  ),
});

/**
 * The shape of a whole procedure document of this code's version.
 *
 * Its type and `Procedure` are the same; tests/unit/machines/procedure/procedure-shape.test.ts
 * holds both ways.
 */
export const procedureShape = object({
  format: exactly(procedureFormat),
  formatVersion: wholeNumber({ min: 1 }),
  id: id<string>(),
  title: text,
  revision: text,
  summary: anyText,
  setting: oneOf(["pool", "high-bay", "analogue-site"]),
  displayUnits: object({
    torque: unitOf("torque"),
    pressure: unitOf("pressure"),
    heatRate: unitOf("heat-rate"),
    mass: unitOf("mass"),
    length: unitOf("length"),
  }),
  positions: list(position, 1),
  sites: list(site),
  paths: list(path),
  items: list(item),
  tethers: list(tether),
  arms: list(arm),
  hardware: list(hardware),
  meets: list(object({ id: id<MeetId>(), name: text })),
  tasks: list(task, 1),
  steps: list(step, 1),
  clocks: list(clock),
  windows: list(timeWindow),
  limits: object({
    runSecondsMax: someSeconds,
    reserveSeconds: seconds,
    hatchWithinSeconds: someSeconds,
  }),
  recurringChecks: list(recurringCheck),
  briefing: list(object({ id: id<string>(), title: text, presenter: id<PositionId>(), text })),
  standingHazards: list(hazard),
});

function unitOf(dimension: Dimension): Shape<Unit> {
  return oneOf(units.filter((symbol) => unitFactors[symbol].dimension === dimension));
}

function sourced(dimension: Dimension): Shape<SourcedQuantity> {
  return object({
    value: number({ min: 0 }),
    unit: unitOf(dimension),
    source: text,
    verified: truth,
  });
}

function tetherEffect<Kind extends "tether-anchored" | "tether-released">(kind: Kind) {
  return object({ kind: exactly(kind), tether: id<TetherId>(), at: id<SiteId>() });
}

function restraintEffect<Kind extends "restraint-entered" | "restraint-left">(kind: Kind) {
  return object({ kind: exactly(kind), position: id<PositionId>(), item: id<ItemId>() });
}

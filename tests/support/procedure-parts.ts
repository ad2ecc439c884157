// Builders of a procedure's parts for tests; each takes what a test wants otherwise.

import type {
  ItemId,
  PathId,
  PositionId,
  SiteId,
  StepId,
  TaskId,
  TetherId,
} from "../../machines/procedure/ids.ts";
import type { Unit } from "../../machines/units/quantity.ts";
import type { Duration } from "../../machines/procedure/duration.ts";
import type { Place } from "../../machines/procedure/place.ts";
import type {
  Item,
  ItemSort,
  Path,
  Position,
  Site,
  SourcedQuantity,
  Suit,
  Task,
  Tether,
} from "../../machines/procedure/procedure.ts";
import type { Step, StepSort } from "../../machines/procedure/step.ts";

/**
 * A step of the simplest kind in EV1's lane at no site, with the members that a test wants otherwise.
 *
 * @param id also names it in its text
 */
export function aStep(id: string, overrides: Partial<Step> = {}): Step {
  return {
    id: id as StepId,
    lane: "ev1" as PositionId,
    task: "bracket" as TaskId,
    sort: "inspect",
    text: `Do ${id}.`,
    site: null,
    duration: aDuration(60, 90, 180),
    hazards: [],
    gates: [],
    requires: [],
    effects: [],
    after: [],
    meet: null,
    needsWindows: [],
    fasteners: null,
    repeat: null,
    choice: null,
    callOut: null,
    ...overrides,
  };
}

/** A duration of so many seconds. */
export function aDuration(minSeconds: number, likelySeconds: number, maxSeconds: number): Duration {
  return { minSeconds, likelySeconds, maxSeconds };
}

/** A position; suited ones get a suit. */
export function aPosition(id: string, overrides: Partial<Position> = {}): Position {
  const sort = overrides.sort ?? "suited";
  return {
    id: id as PositionId,
    name: id.toUpperCase(),
    sort,
    marking: { pattern: "solid", colour: "blue" },
    startsAt: null,
    suit: sort === "suited" ? aSuit() : null,
    ...overrides,
  };
}

/** A suit with invented figures. */
export function aSuit(): Suit {
  return {
    oxygen: sourced(0.7, "kg"),
    scrubber: sourced(0.8, "kg"),
    battery: sourced(500, "W·h"),
    batteryLoad: sourced(60, "W"),
    coolingWater: sourced(4, "kg"),
    metabolicRate: sourced(293, "W"),
    metabolicRateBySort: { wait: sourced(150, "W") },
  };
}

/** A site for two, at the origin unless told otherwise. */
export function aSite(id: string, overrides: Partial<Site> = {}): Site {
  return {
    id: id as SiteId,
    name: `Site ${id}`,
    sort: "worksite",
    pointMetres: { x: 0, y: 0, z: 0 },
    capacity: 2,
    ...overrides,
  };
}

/** A task that may not be deferred. */
export function aTask(id: string, overrides: Partial<Task> = {}): Task {
  return {
    id: id as TaskId,
    name: `Task ${id}`,
    priority: 1,
    deferrable: false,
    getAhead: false,
    contingency: false,
    ...overrides,
  };
}

function sourced(value: number, unit: Unit): SourcedQuantity {
  return { value, unit, source: "invented for tests", verified: false };
}

/** A path of a minute or so. */
export function aPath(id: string, from: string, to: string, lengthMetres: number): Path {
  return {
    id: id as PathId,
    from: from as SiteId,
    to: to as SiteId,
    lengthMetres,
    duration: aDuration(30, 60, 120),
    closedWhile: [],
  };
}

/** An item that must end where it starts unless told otherwise. */
export function anItem(
  id: string,
  sort: ItemSort,
  startsAt: Place,
  endsAt: Place = startsAt,
): Item {
  return { id: id as ItemId, name: `Item ${id}`, sort, startsAt, mustEndAt: [endsAt] };
}

/** A tether of 16 m that starts anchored at the hatch and reaches the rack. */
export function aTether(id: string, wornBy: string): Tether {
  return {
    id: id as TetherId,
    name: `Tether ${id}`,
    wornBy: wornBy as PositionId,
    lengthMetres: 16,
    anchorSites: ["hatch" as SiteId, "rack" as SiteId],
    startsAnchoredAt: "hatch" as SiteId,
  };
}

/** A translation of one person over the path between hatch and rack. */
export function aMove(id: string, lane: string, from: string, to: string): Step {
  const sort: StepSort = "translate";
  return aStep(id, {
    lane: lane as PositionId,
    task: (to === "hatch" ? "come-in" : "go-out") as TaskId,
    sort,
    text: `Go to the ${to}.`,
    site: to as SiteId,
    effects: [
      {
        kind: "person-moved",
        position: lane as PositionId,
        from: from as SiteId,
        to: to as SiteId,
        via: ["hatch-rack" as PathId],
      },
    ],
  });
}

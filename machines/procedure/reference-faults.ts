// Faults that many parts can have: an id that is nowhere, a thing named twice, bounds the wrong way
// round.

import type { DocumentParts, PartList } from "./document-parts.ts";
import type { Fault } from "./fault.ts";
import type { Condition } from "./condition.ts";
import type { Duration } from "./duration.ts";
import type { Place } from "./place.ts";

const nouns: Readonly<Record<PartList, string>> = {
  positions: "position",
  sites: "site",
  paths: "path",
  items: "item",
  tethers: "tether",
  arms: "arm",
  hardware: "hardware",
  meets: "meet",
  tasks: "task",
  steps: "step",
  clocks: "clock",
  windows: "window",
  recurringChecks: "recurring check",
  briefing: "briefing topic",
};

/** The ids that are there, of some lists. */
export type KnownIds<List extends PartList> = {
  readonly ids: Readonly<Record<List, ReadonlySet<string> | null>>;
};

/** A fault if no part of the list has the id. */
export function idFaults<List extends PartList>(
  parts: KnownIds<List>,
  list: List,
  id: string,
  path: string,
): Fault[] {
  const known = parts.ids[list];
  if (known === null || known.has(id)) return [];
  const noun = nouns[list];
  return [
    {
      path,
      code: `unknown-${noun.replaceAll(" ", "-")}`,
      says: `There is no ${noun} ${JSON.stringify(id)}.`,
      mend: `Use the id of one that stands in "${list}", or add it there.`,
    },
  ];
}

/** Faults of a list of ids: those that are nowhere, and those that it names twice. */
export function listIdFaults<List extends PartList>(
  parts: KnownIds<List>,
  list: List,
  ids: readonly string[],
  path: string,
): Fault[] {
  return [
    ...ids.flatMap((id, index) => idFaults(parts, list, id, `${path}/${index}`)),
    ...doubledFaults(ids, path, "doubled-entry"),
  ];
}

/**
 * A fault for each that stands again after its first time; "" is passed over.
 *
 * @param path of the list
 * @param code "doubled-id" for the ids of parts, else "doubled-entry" for values that stand
 *   themselves in the list
 */
export function doubledFaults(
  names: readonly string[],
  path: string,
  code: "doubled-id" | "doubled-entry" = "doubled-id",
): Fault[] {
  const firstPlaces = new Map<string, number>();
  return names.flatMap((name, index) => {
    const first = firstPlaces.get(name);
    if (first === undefined) firstPlaces.set(name, index);
    if (first === undefined || name === "") return [];
    const place = `${path}/${index}`;
    return [
      {
        path: code === "doubled-id" ? `${place}/id` : place,
        code,
        says: `${JSON.stringify(name)} already stands at ${path}/${first}.`,
        mend: code === "doubled-id" ? "Give each its own id." : "Name it once.",
      },
    ];
  });
}

/** A fault if an upper bound is below the lower one; null bounds nothing. */
export function boundFaults(min: number | null, max: number | null, path: string): Fault[] {
  if (min === null || max === null || min <= max) return [];
  return [
    {
      path,
      code: "bounds-inverted",
      says: `The upper limit ${max} is below the lower limit ${min}.`,
      mend: "Exchange the two, or mend one of them.",
    },
  ];
}

/** A fault if a duration breaks min <= likely <= max. */
export function durationFaults(duration: Duration, path: string): Fault[] {
  const { minSeconds, likelySeconds, maxSeconds } = duration;
  if (minSeconds <= likelySeconds && likelySeconds <= maxSeconds) return [];
  return [
    {
      path,
      code: "duration-out-of-order",
      says: `${minSeconds}, ${likelySeconds}, ${maxSeconds} s are not in order from least to most.`,
      mend: 'Make "minSeconds" the least and "maxSeconds" the greatest.',
    },
  ];
}

/** Faults of a place: what it names must be there. */
export function placeFaults(parts: DocumentParts, place: Place, path: string): Fault[] {
  if ("site" in place) return idFaults(parts, "sites", place.site, `${path}/site`);
  if ("item" in place) return idFaults(parts, "items", place.item, `${path}/item`);
  return idFaults(parts, "positions", place.position, `${path}/position`);
}

/** Faults of a condition: what it names must be there, and be able to be so. */
export function conditionFaults(parts: DocumentParts, condition: Condition, path: string): Fault[] {
  if ("hardware" in condition) {
    return hardwareStateFaults(parts, condition.hardware, condition.state, path);
  }
  if ("item" in condition) {
    return [
      ...idFaults(parts, "items", condition.item, `${path}/item`),
      ...placeFaults(parts, condition.at, `${path}/at`),
    ];
  }
  if ("arm" in condition) {
    return [
      ...idFaults(parts, "arms", condition.arm, `${path}/arm`),
      ...reachFaults(parts, condition.arm, condition.at, `${path}/at`),
    ];
  }
  return [
    ...idFaults(parts, "positions", condition.position, `${path}/position`),
    ...restraintFaults(parts, condition.inRestraint, `${path}/inRestraint`),
  ];
}

/** Faults of an object with members "hardware" and "state": both must be there. */
export function hardwareStateFaults(
  parts: DocumentParts,
  hardwareId: string,
  state: string,
  path: string,
): Fault[] {
  const hardware = parts.byId.hardware.get(hardwareId);
  if (hardware === undefined) {
    return idFaults(parts, "hardware", hardwareId, `${path}/hardware`);
  }
  if (hardware.states.includes(state)) return [];
  return [
    {
      path: `${path}/state`,
      code: "unknown-state",
      says: `${hardware.name} has no state ${JSON.stringify(state)}.`,
      mend: `Use one of: ${hardware.states.join(", ")}.`,
    },
  ];
}

/** Faults of a site that an arm is to be at: it must be there, and within the arm's reach. */
export function reachFaults(
  parts: DocumentParts,
  armId: string,
  site: string,
  path: string,
): Fault[] {
  const arm = parts.byId.arms.get(armId);
  const faults = idFaults(parts, "sites", site, path);
  if (faults.length > 0 || arm === undefined || arm.reaches.some((reached) => reached === site)) {
    return faults;
  }
  return [
    {
      path,
      code: "out-of-reach",
      says: `${arm.name} does not reach ${JSON.stringify(site)}.`,
      mend: 'Name one of the sites in its "reaches", or add the site there.',
    },
  ];
}

/** Faults of an item that one stands in: it must be there, and be a foot restraint. */
export function restraintFaults(parts: DocumentParts, itemId: string, path: string): Fault[] {
  const item = parts.byId.items.get(itemId);
  if (item === undefined) return idFaults(parts, "items", itemId, path);
  if (item.sort === "foot-restraint") return [];
  return [
    {
      path,
      code: "no-foot-restraint",
      says: `${item.name} is no foot restraint.`,
      mend: 'Name an item of the sort "foot-restraint".',
    },
  ];
}

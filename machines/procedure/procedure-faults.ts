// Faults of a procedure that no single value shows: ids that are twice there or nowhere, bounds the
// wrong way round, parts that contradict each other. Those of steps are in `step-faults.ts`.
//
// Not here: whether the plan can be carried out (cycles through lanes, order and meets, custody,
// tethers, contention). The plan check finds that; see `machines/plan`.

import { partLists, idOf, rawParts } from "./document-parts.ts";
import type { DocumentParts, Located } from "./document-parts.ts";
import type { Fault } from "./fault.ts";
import type {
  Arm,
  Clock,
  Hardware,
  Item,
  Path,
  Position,
  RecurringCheck,
  Tether,
  TimeWindow,
} from "./procedure.ts";
import {
  boundFaults,
  conditionFaults,
  doubledFaults,
  durationFaults,
  idFaults,
  listIdFaults,
  placeFaults,
} from "./reference-faults.ts";
import { meetFaults, stepFaults } from "./step-faults.ts";
import { pointer } from "./read-shape.ts";

/**
 * Every fault of a document that is not one of shape, part by part in the document's order.
 *
 * Errors: none.
 */
export function procedureFaults(
  document: Readonly<Record<string, unknown>>,
  parts: DocumentParts,
): Fault[] {
  const { sound } = parts;
  return [
    ...partLists.flatMap((list) => doubledFaults(rawParts(document[list]).map(idOf), `/${list}`)),
    ...sound.positions.flatMap((located) => positionFaults(parts, located)),
    ...sound.paths.flatMap((located) => pathFaults(parts, located)),
    ...sound.items.flatMap((located) => itemFaults(parts, located)),
    ...sound.tethers.flatMap((located) => tetherFaults(parts, located)),
    ...sound.arms.flatMap((located) => armFaults(parts, located)),
    ...sound.hardware.flatMap((located) => hardwareFaults(parts, located)),
    ...meetFaults(document, parts),
    ...sound.steps.flatMap((located) => stepFaults(parts, located)),
    ...sound.clocks.flatMap((located) => clockFaults(parts, located)),
    ...sound.windows.flatMap(windowFaults),
    ...limitsFaults(parts),
    ...sound.recurringChecks.flatMap((located) => checkFaults(parts, located)),
    ...sound.briefing.flatMap(({ part, path }) =>
      idFaults(parts, "positions", part.presenter, `${path}/presenter`),
    ),
  ];
}

function positionFaults(parts: DocumentParts, { part, path }: Located<Position>): Fault[] {
  const faults =
    part.startsAt === null ? [] : idFaults(parts, "sites", part.startsAt, `${path}/startsAt`);
  if (part.sort === "suited" && part.suit === null) {
    faults.push({
      path: `${path}/suit`,
      code: "suit-missing",
      says: `${part.name} is suited and has no suit.`,
      mend: "Say what the suit holds, or give the position another sort.",
    });
  }
  if (part.sort !== "suited" && part.suit !== null) {
    faults.push({
      path: `${path}/suit`,
      code: "suit-not-worn",
      says: `${part.name} has a suit and is not a suited position.`,
      mend: 'Write null for the suit, or "suited" for the sort.',
    });
  }
  return faults;
}

function pathFaults(parts: DocumentParts, { part, path }: Located<Path>): Fault[] {
  const faults = [
    ...idFaults(parts, "sites", part.from, `${path}/from`),
    ...idFaults(parts, "sites", part.to, `${path}/to`),
    ...durationFaults(part.duration, `${path}/duration`),
    ...part.closedWhile.flatMap((condition, index) =>
      conditionFaults(parts, condition, `${path}/closedWhile/${index}`),
    ),
  ];
  if (part.from === part.to) {
    faults.push({
      path: `${path}/to`,
      code: "path-to-itself",
      says: "This path ends where it begins.",
      mend: "Name the site at its other end.",
    });
  }
  return faults;
}

function itemFaults(parts: DocumentParts, { part, path }: Located<Item>): Fault[] {
  return [
    ...placeFaults(parts, part.startsAt, `${path}/startsAt`),
    ...part.mustEndAt.flatMap((place, index) =>
      placeFaults(parts, place, `${path}/mustEndAt/${index}`),
    ),
    ...containsItselfFaults(parts, part, path),
  ];
}

// Follows the item outward through what holds it; if it meets itself, it is inside itself.
function containsItselfFaults(parts: DocumentParts, item: Item, path: string): Fault[] {
  const seen = new Set<string>();
  let holder: Item | undefined = item;
  while (holder !== undefined && "item" in holder.startsAt && !seen.has(holder.id)) {
    seen.add(holder.id);
    if (holder.startsAt.item === item.id) {
      return [
        {
          path: `${path}/startsAt`,
          code: "item-inside-itself",
          says: `${item.name} starts inside itself.`,
          mend: "Start it at a site, with a position, or in another item.",
        },
      ];
    }
    holder = parts.byId.items.get(holder.startsAt.item);
  }
  return [];
}

function tetherFaults(parts: DocumentParts, { part, path }: Located<Tether>): Fault[] {
  const faults = [
    ...idFaults(parts, "positions", part.wornBy, `${path}/wornBy`),
    ...listIdFaults(parts, "sites", part.anchorSites, `${path}/anchorSites`),
  ];
  const wearer = parts.byId.positions.get(part.wornBy);
  if (wearer !== undefined && wearer.sort !== "suited") {
    faults.push({
      path: `${path}/wornBy`,
      code: "not-suited",
      says: `${wearer.name} wears this tether and is not a suited position.`,
      mend: "Name a suited position.",
    });
  }
  if (part.startsAnchoredAt !== null && !part.anchorSites.includes(part.startsAnchoredAt)) {
    faults.push({
      path: `${path}/startsAnchoredAt`,
      code: "no-anchor-site",
      says: `${part.name} starts anchored where it may not be anchored.`,
      mend: 'Name one of its "anchorSites", or add the site there.',
    });
  }
  return faults;
}

function armFaults(parts: DocumentParts, { part, path }: Located<Arm>): Fault[] {
  const faults = [
    ...idFaults(parts, "sites", part.tip, `${path}/tip`),
    ...listIdFaults(parts, "sites", part.reaches, `${path}/reaches`),
  ];
  const tip = parts.byId.sites.get(part.tip);
  if (tip !== undefined && tip.sort !== "arm-tip") {
    faults.push({
      path: `${path}/tip`,
      code: "no-arm-tip",
      says: `${tip.name} is no arm tip.`,
      mend: 'Name a site of the sort "arm-tip".',
    });
  }
  if (!part.reaches.includes(part.startsAt)) {
    faults.push({
      path: `${path}/startsAt`,
      code: "out-of-reach",
      says: `${part.name} starts where it does not reach.`,
      mend: 'Name one of the sites in its "reaches", or add the site there.',
    });
  }
  return faults;
}

function hardwareFaults(parts: DocumentParts, { part, path }: Located<Hardware>): Fault[] {
  const faults = [
    ...(part.site === null ? [] : idFaults(parts, "sites", part.site, `${path}/site`)),
    ...doubledFaults(part.states, `${path}/states`, "doubled-entry"),
  ];
  if (!part.states.includes(part.startsAs)) {
    faults.push({
      path: `${path}/startsAs`,
      code: "unknown-state",
      says: `${part.name} has no state ${JSON.stringify(part.startsAs)}.`,
      mend: `Use one of: ${part.states.join(", ")}.`,
    });
  }
  return faults;
}

function clockFaults(parts: DocumentParts, { part, path }: Located<Clock>): Fault[] {
  const faults = [
    ...idFaults(parts, "steps", part.from.step, `${path}/from/step`),
    ...idFaults(parts, "steps", part.to.step, `${path}/to/step`),
    ...boundFaults(part.atLeastSeconds, part.atMostSeconds, `${path}/atMostSeconds`),
  ];
  if (part.atLeastSeconds === null && part.atMostSeconds === null) {
    faults.push({
      path,
      code: "no-bound",
      says: "This clock bounds nothing: it has neither a least nor a most.",
      mend: 'Give "atLeastSeconds" or "atMostSeconds", or remove the clock.',
    });
  }
  if (part.from.step === part.to.step && part.from.at === part.to.at) {
    faults.push({
      path: `${path}/to`,
      code: "same-moment",
      says: "This clock ends at the moment at which it begins.",
      mend: "Name two different moments.",
    });
  }
  return faults;
}

function windowFaults({ part, path }: Located<TimeWindow>): Fault[] {
  return part.spans.flatMap((span, index) => {
    const spanPath = pointer(`${path}/spans`, String(index));
    const before = part.spans[index - 1];
    const faults: Fault[] = [];
    if (span.fromSeconds >= span.toSeconds) {
      faults.push({
        path: `${spanPath}/toSeconds`,
        code: "bounds-inverted",
        says: "This span ends before it begins, or at once.",
        mend: 'Make "toSeconds" greater than "fromSeconds".',
      });
    }
    if (before !== undefined && before.toSeconds > span.fromSeconds) {
      faults.push({
        path: `${spanPath}/fromSeconds`,
        code: "spans-out-of-order",
        says: "This span begins before the one above it ends.",
        mend: "Put the spans in order of time, without overlap.",
      });
    }
    return faults;
  });
}

function limitsFaults({ limits }: DocumentParts): Fault[] {
  if (limits === null || limits.reserveSeconds < limits.runSecondsMax) return [];
  return [
    {
      path: "/limits/reserveSeconds",
      code: "bounds-inverted",
      says: "The reserve is as long as the whole run, or longer.",
      mend: 'Make "reserveSeconds" less than "runSecondsMax".',
    },
  ];
}

function checkFaults(parts: DocumentParts, { part, path }: Located<RecurringCheck>): Fault[] {
  const readingIds = part.readings.map((reading) => reading.id);
  return [
    ...listIdFaults(parts, "positions", part.positions, `${path}/positions`),
    ...doubledFaults(readingIds, `${path}/readings`),
    ...part.readings.flatMap((reading, index) =>
      boundFaults(reading.min, reading.max, `${path}/readings/${index}/max`),
    ),
  ];
}

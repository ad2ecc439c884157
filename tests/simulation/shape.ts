// What sort of schedule a seed gives: who is there, what can befall them, and for how long. Each seed
// leaves some troubles out altogether, so that each trouble is met with and without every other.

import type { PositionId } from "../../machines/procedure/ids.ts";
import { createSeededRandom } from "../../machines/base/seeded-random.ts";
import type { SeededRandom } from "../../machines/base/seeded-random.ts";
import { happens, pickWeighted } from "./chance.ts";
import type { Person } from "./simulated-device.ts";

/** What can befall devices, network and hub. */
export type Trouble =
  | "crash"
  | "clock-set"
  | "full"
  | "connection-lost"
  | "cut"
  | "garble"
  | "late"
  | "partition"
  | "hub-stop"
  | "hub-restore"
  | "hub-full"
  /** A second hub on the same storage. */
  | "second-hub"
  /** Pulls come in small pages. */
  | "small-pages"
  /** The app is open in a second window. */
  | "second-window"
  /** A device that was let in and lies. */
  | "liar"
  /** A device is struck off, and may come back. */
  | "strike-off"
  /** A tablet is put back to an older copy of its disk. */
  | "image"
  /** Records are handed on as files. */
  | "hand-over";

/** The sort of a schedule. */
export type Shape = {
  /** How many things happen before everything is healed. */
  readonly steps: number;
  readonly storage: "memory" | "sqlite";
  /** The first one opens the run. */
  readonly people: readonly Person[];
  readonly troubles: ReadonlySet<Trouble>;
};

/** The shape of a seed's schedule. `steps`: so many, whatever the seed says. */
export function shapeOf(seed: number, steps?: number): Shape {
  const random = createSeededRandom(BigInt(seed) + (2n << 32n));
  const stepsOfSeed = stepsFrom(random);
  return {
    steps: steps ?? stepsOfSeed,
    storage: happens(random, 0.06) ? "sqlite" : "memory",
    people: peopleFrom(random),
    troubles: troublesFrom(random),
  };
}

const everyTrouble: readonly (readonly [Trouble, chance: number])[] = [
  ["crash", 0.7],
  ["clock-set", 0.6],
  ["full", 0.6],
  ["connection-lost", 0.7],
  ["cut", 0.7],
  ["garble", 0.6],
  ["late", 0.7],
  ["partition", 0.6],
  ["hub-stop", 0.5],
  ["hub-restore", 0.5],
  ["hub-full", 0.3],
  ["second-hub", 0.2],
  ["small-pages", 0.4],
  ["second-window", 0.4],
  ["liar", 0.35],
  ["strike-off", 0.25],
  ["image", 0.2],
  ["hand-over", 0.3],
];

function troublesFrom(random: SeededRandom): ReadonlySet<Trouble> {
  const drawn = everyTrouble.filter(([, chance]) => happens(random, chance));
  const troubles = new Set(drawn.map(([trouble]) => trouble));
  // Branches of a chain meet where a file brings the one and the hub the other.
  if (troubles.has("image") && happens(random, 0.6)) troubles.add("hand-over");
  return troubles;
}

// Mostly short ones, of which many can be played; some long ones.
function stepsFrom(random: SeededRandom): number {
  const [from, to] = pickWeighted(random, [
    [60, [20, 50]],
    [30, [50, 100]],
    [9, [100, 250]],
    [1, [250, 600]],
  ] as const);
  return from + random.nextBelow(to - from);
}

const ev1 = "ev1" as PositionId;
const ev2 = "ev2" as PositionId;
const iv = "iv" as PositionId;

const desk: Person = { name: "desk", role: "director", lane: null };

const others: readonly Person[] = [
  { name: "second-desk", role: "director", lane: null },
  { name: "ev1-tablet", role: "crew", lane: ev1 },
  { name: "ev2-tablet", role: "crew", lane: ev2 },
  { name: "reader", role: "reader", lane: iv },
  { name: "wall", role: "observer", lane: null },
];

function peopleFrom(random: SeededRandom): readonly Person[] {
  const count = pickWeighted(random, [
    [25, 1],
    [35, 2],
    [20, 3],
    [10, 4],
    [10, 5],
  ]);
  const drawn = others
    .map((person) => ({ person, key: random.nextUint32() }))
    .toSorted((a, b) => a.key - b.key)
    .slice(0, count);
  return [desk, ...others.filter((person) => drawn.some((one) => one.person === person))];
}

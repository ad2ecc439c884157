// A stretch of one device's entries, packed: what entries have in common is said once, and what can be
// found again, the digests, is not said at all.
//
// [pack 1] Unpacking what was packed gives the same entries.
// [pack 2] What can't be unpacked is reported with its path, and nothing is unpacked.
// The members of what is unpacked stand in the order of canonical JSON, so that its text is quickly made.

import type { Fault } from "../procedure/fault.ts";
import type { PositionId } from "../procedure/ids.ts";
import { list, object, pointer, text, wholeNumber, id } from "../procedure/read-shape.ts";
import type { Shape } from "../procedure/read-shape.ts";
import { entryShape } from "../record/read-entry.ts";
import type { Entry, EntryBody } from "../record/entry.ts";
import type { DeviceId, RunId } from "../record/ids.ts";

/** Entries of one device that follow on each other, without run, device, seq and `prev`. */
export type PackedEntries = {
  /** The first wall clock, then how much each differs from the one before; milliseconds. */
  readonly wallMs: readonly number[];
  /** Devices that the entries had seen. */
  readonly devices: readonly DeviceId[];
  /** For each entry that has seen something: its index, then pairs of a device's index and a seq. */
  readonly seen: readonly (readonly number[])[];
  readonly positions: readonly PositionId[];
  /** For each entry the number of its position, from 1; 0: none. */
  readonly position: readonly number[];
  /** The kinds of bodies: the kind, then the names of its other members, sorted. */
  readonly shapes: readonly (readonly string[])[];
  /** For each entry the index of its body's shape, then the members' values. */
  readonly bodies: readonly (readonly unknown[])[];
};

/** Packs entries of one device that follow on each other. Errors: none. */
export function packEntries(entries: readonly Entry[]): PackedEntries {
  const devices = createList<DeviceId>();
  const positions = createList<PositionId>();
  const shapes = createList<string>();
  const seen: number[][] = [];
  const position: number[] = [];
  const bodies: unknown[][] = [];
  for (const [index, entry] of entries.entries()) {
    const others = Object.keys(entry.seen).sort() as DeviceId[];
    if (others.length > 0) {
      const pairs = others.flatMap((other) => [devices.indexOf(other), entry.seen[other] ?? 0]);
      seen.push([index, ...pairs]);
    }
    position.push(entry.position === null ? 0 : positions.indexOf(entry.position) + 1);
    bodies.push(packBody(entry.body, shapes));
  }
  return {
    wallMs: entries.map(({ wallMs }, index) => wallMs - (entries[index - 1]?.wallMs ?? 0)),
    devices: devices.values(),
    seen,
    positions: positions.values(),
    position,
    shapes: shapes.values().map((shape) => JSON.parse(shape) as string[]),
    bodies,
  };
}

/** Where packed entries belong. */
export type PackedPlace = {
  readonly run: RunId;
  readonly device: DeviceId;
  readonly fromSeq: number;
  /** Digest of the entry before the first; null before seq 1. */
  readonly prev: string | null;
};

/** Entries and the digest of each; empty if there are faults. */
export type Unpacked = {
  readonly entries: readonly Entry[];
  readonly digests: readonly string[];
  readonly faults: readonly Fault[];
};

/**
 * Unpacks entries and finds their digests.
 *
 * @param packed of the shape `packedEntriesShape`
 * @param digestOf the digest of an entry; of a stand-in the one that it carries
 * Errors: none; faults are data, their paths JSON Pointers from the packed entries.
 */
export function unpackEntries(
  packed: PackedEntries,
  place: PackedPlace,
  digestOf: (entry: Entry) => string,
): Unpacked {
  const faults = [...columnFaults(packed), ...indexFaults(packed)];
  if (faults.length > 0) return { entries: [], digests: [], faults };
  const entries: Entry[] = [];
  const digests: string[] = [];
  const seenByIndex = new Map(packed.seen.map((row) => [row[0], row]));
  let { prev } = place;
  let wallMs = 0;
  for (const [index, row] of packed.bodies.entries()) {
    wallMs += packed.wallMs[index] as number;
    const entry: Entry = {
      body: unpackBody(row, packed.shapes),
      device: place.device,
      position: packed.positions[(packed.position[index] as number) - 1] ?? null,
      prev,
      run: place.run,
      seen: unpackSeen(seenByIndex.get(index), packed.devices),
      seq: place.fromSeq + index,
      wallMs,
    };
    if (!entryShape(entry, pointer("/bodies", String(index)), faults)) break;
    prev = digestOf(entry);
    digests.push(prev);
    entries.push(entry);
  }
  return faults.length > 0 ? { entries: [], digests: [], faults } : { entries, digests, faults };
}

// A list in which each value stands once.
type UniqueList<Value> = {
  readonly indexOf: (value: Value) => number;
  readonly values: () => Value[];
};

function createList<Value>(): UniqueList<Value> {
  const indexes = new Map<Value, number>();
  return {
    indexOf(value) {
      const known = indexes.get(value);
      if (known !== undefined) return known;
      indexes.set(value, indexes.size);
      return indexes.size - 1;
    },
    values: () => [...indexes.keys()],
  };
}

function packBody(body: EntryBody, shapes: UniqueList<string>): unknown[] {
  const { kind, ...members } = body;
  const names = Object.keys(members).sort();
  const values = names.map((name) => (members as Readonly<Record<string, unknown>>)[name]);
  return [shapes.indexOf(JSON.stringify([kind, ...names])), ...values];
}

function unpackBody(row: readonly unknown[], shapes: PackedEntries["shapes"]): EntryBody {
  const [kind, ...names] = shapes[row[0] as number] as readonly string[];
  const body: Record<string, unknown> = {};
  let isKindSet = false;
  for (const [index, name] of names.entries()) {
    if (!isKindSet && name > "kind") {
      body["kind"] = kind;
      isKindSet = true;
    }
    body[name] = row[index + 1];
  }
  if (!isKindSet) body["kind"] = kind;
  return body as EntryBody;
}

function unpackSeen(
  row: readonly number[] | undefined,
  devices: readonly DeviceId[],
): Record<DeviceId, number> {
  const seen: Record<DeviceId, number> = {};
  if (row === undefined) return seen;
  for (let at = 1; at < row.length; at += 2) {
    seen[devices[row[at] as number] as DeviceId] = row[at + 1] as number;
  }
  return seen;
}

function columnFaults({ wallMs, position, bodies }: PackedEntries): Fault[] {
  if (wallMs.length === bodies.length && position.length === bodies.length) return [];
  return [fault("/bodies", "The columns are not equally long.")];
}

function indexFaults(packed: PackedEntries): Fault[] {
  const { bodies, shapes, position, positions, seen, devices } = packed;
  const isShape = (row: readonly unknown[]) =>
    shapes[row[0] as number]?.length === row.length && Object.hasOwn(shapes, row[0] as number);
  const isSeen = (row: readonly number[]) =>
    row.length % 2 === 1 &&
    (row[0] as number) < bodies.length &&
    row.every((value, at) => at % 2 === 0 || value < devices.length);
  const faults: Fault[] = [];
  // As a member it would change what the body is, instead of what is in it.
  if (shapes.some((shape) => shape.includes("__proto__"))) {
    faults.push(fault("/shapes", "No body has a member of this name."));
  }
  if (!bodies.every(isShape)) faults.push(fault("/bodies", "A body has none of the shapes."));
  if (!position.every((number) => number <= positions.length)) {
    faults.push(fault("/position", "A position is none of the list."));
  }
  if (!seen.every(isSeen))
    faults.push(fault("/seen", "What was seen names no device of the list."));
  return faults;
}

function fault(path: string, says: string): Fault {
  return {
    path,
    code: "packed-wrong",
    says,
    mend: "Send it again from the device that packed it.",
  };
}

const whole = wholeNumber({ min: 0 });

// Values of bodies are looked at when they are unpacked.
const anyRow: Shape<readonly unknown[]> = (value, path, faults): value is readonly unknown[] => {
  if (Array.isArray(value) && Number.isInteger(value[0]) && value[0] >= 0) return true;
  faults.push({ ...fault(path, "This must be a list that begins with a shape's index."), path });
  return false;
};

/** The shape of `PackedEntries`. */
export const packedEntriesShape = object({
  wallMs: list(wholeNumber({ min: -Number.MAX_SAFE_INTEGER, max: Number.MAX_SAFE_INTEGER })),
  devices: list(id<DeviceId>()),
  seen: list(list(whole)),
  positions: list(id<PositionId>()),
  position: list(whole),
  shapes: list(list(text)),
  bodies: list(anyRow),
});

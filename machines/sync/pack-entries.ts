// A stretch of one device's entries, packed: what entries have in common is said once, and what can be
// found again, the digests, is not said at all.
//
// [pack 1] Unpacking what was packed gives the same entries.
// [pack 2] What can't be unpacked is reported with its path, and nothing is unpacked.
// The members of what is unpacked stand in the order of canonical JSON, so that its text is quickly made.

import type { Fault } from "../procedure/fault.ts";
import type { PositionId } from "../procedure/ids.ts";
import { list, object, text, wholeNumber, id } from "../procedure/read-shape.ts";
import type { Shape } from "../procedure/read-shape.ts";
import { entryShape, isNextEntry } from "../record/read-entry.ts";
import type { Entry, EntryBody } from "../record/entry.ts";
import type { DeviceId, RunId } from "../record/ids.ts";

/** Entries of one device that follow on each other, without run, device, seq and `prev`. */
export type PackedEntries = {
  /** The first wall clock, then how much each differs from the one before; milliseconds. */
  readonly wallMs: readonly number[];
  /** Devices that the entries had seen, sorted. */
  readonly devices: readonly DeviceId[];
  /**
   * For each entry that has seen something: how many entries are passed over since the one before that
   * has; then for each device how many devices are passed over since the one before, and how much its
   * seq is more than what was told of it before. Told so, it packs to half of what seqs would.
   */
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
  const positions = createList<PositionId>();
  const shapes = createList<string>();
  const position: number[] = [];
  const bodies: unknown[][] = [];
  for (const entry of entries) {
    position.push(entry.position === null ? 0 : positions.indexOf(entry.position) + 1);
    bodies.push(packBody(entry.body, shapes));
  }
  return {
    wallMs: entries.map(({ wallMs }, index) => wallMs - (entries[index - 1]?.wallMs ?? 0)),
    ...packSeen(entries),
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
  const sights = unpackSeen(packed);
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
      seen: sights.get(index) ?? nothingSeen,
      seq: place.fromSeq + index,
      wallMs,
    };
    // Of the first all is looked at; the others have ids and chain from it and from the columns.
    if (index === 0 || !isNextEntry(entry)) {
      if (!entryShape(entry, `/bodies/${index}`, faults)) break;
    }
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

type PackedSeen = Pick<PackedEntries, "devices" | "seen">;

function packSeen(entries: readonly Entry[]): PackedSeen {
  const names = new Set(entries.flatMap((entry) => Object.keys(entry.seen) as DeviceId[]));
  const devices = [...names].sort();
  const indexes = new Map(devices.map((device, index) => [device, index]));
  const told = devices.map(() => 0);
  const seen: number[][] = [];
  let before = -1;
  for (const [index, entry] of entries.entries()) {
    const others = (Object.keys(entry.seen) as DeviceId[]).sort();
    if (others.length === 0) continue;
    const row = [index - before - 1];
    before = index;
    let deviceBefore = -1;
    for (const other of others) {
      const device = indexes.get(other) as number;
      const seq = entry.seen[other] as number;
      row.push(device - deviceBefore - 1, seq - (told[device] as number));
      deviceBefore = device;
      told[device] = seq;
    }
    seen.push(row);
  }
  return { devices, seen };
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

const nothingSeen: Readonly<Record<DeviceId, number>> = Object.freeze({});

// By the entry's index: the seqs that it has seen, by device. Of rows that `indexFaults` passed.
function unpackSeen({ devices, seen }: PackedEntries): Map<number, Record<DeviceId, number>> {
  const sights = new Map<number, Record<DeviceId, number>>();
  const told = devices.map(() => 0);
  let index = -1;
  for (const row of seen) {
    index += 1 + (row[0] as number);
    const sight: Record<DeviceId, number> = {};
    let device = -1;
    for (let at = 1; at < row.length; at += 2) {
      device += 1 + (row[at] as number);
      const seq = (told[device] as number) + (row[at + 1] as number);
      told[device] = seq;
      sight[devices[device] as DeviceId] = seq;
    }
    sights.set(index, sight);
  }
  return sights;
}

function columnFaults({ wallMs, position, bodies }: PackedEntries): Fault[] {
  if (wallMs.length === bodies.length && position.length === bodies.length) return [];
  return [fault("/bodies", "The columns are not equally long.")];
}

function indexFaults(packed: PackedEntries): Fault[] {
  const { bodies, shapes, position, positions, seen, devices } = packed;
  const isShape = (row: readonly unknown[]) =>
    shapes[row[0] as number]?.length === row.length && Object.hasOwn(shapes, row[0] as number);
  const faults: Fault[] = [];
  // As a member it would change what the body is, instead of what is in it.
  if (shapes.some((shape) => shape.includes("__proto__"))) {
    faults.push(fault("/shapes", "No body has a member of this name."));
  }
  if (!bodies.every(isShape)) faults.push(fault("/bodies", "A body has none of the shapes."));
  if (!position.every((number) => number <= positions.length)) {
    faults.push(fault("/position", "A position is none of the list."));
  }
  if (!seen.every((row) => isSight(row, devices.length))) {
    faults.push(fault("/seen", "What was seen names no device of the list."));
  }
  if (seen.reduce((index, row) => index + 1 + (row[0] as number), -1) >= bodies.length) {
    faults.push(fault("/seen", "What was seen belongs to no entry."));
  }
  return faults;
}

function isSight(row: readonly number[], devices: number): boolean {
  let device = -1;
  for (let at = 1; at < row.length; at += 2) device += 1 + (row[at] as number);
  return row.length % 2 === 1 && device < devices;
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
const anyWhole = wholeNumber({ min: -Number.MAX_SAFE_INTEGER });

// Values of bodies are looked at when they are unpacked.
const anyRow: Shape<readonly unknown[]> = (value, path, faults): value is readonly unknown[] => {
  if (isBodyRow(value)) return true;
  faults.push({ ...fault(path, "This must be a list that begins with a shape's index."), path });
  return false;
};

function isBodyRow(value: unknown): boolean {
  return Array.isArray(value) && Number.isInteger(value[0]) && value[0] >= 0;
}

// Only a seq may be less than what was told before, after its device lost some entries.
const sightRow: Shape<readonly number[]> = (value, path, faults): value is readonly number[] => {
  if (isWholeRow(value)) return true;
  const says = "This must be a list of whole numbers, of which only those of seqs may be below 0.";
  faults.push({ ...fault(path, says), path });
  return false;
};

function isWholeRow(value: unknown): boolean {
  if (!Array.isArray(value) || value.length === 0) return false;
  return value.every(
    (one, at) => Number.isSafeInteger(one) && (one >= 0 || (at > 0 && at % 2 === 0)),
  );
}

// A list of which each value is looked at by a plain test first: of so many, the paths take long to make.
function column<Value>(
  isRight: (value: unknown) => boolean,
  shape: Shape<Value>,
): Shape<readonly Value[]> {
  const isList = list(shape);
  return (value, path, faults): value is readonly Value[] => {
    return (Array.isArray(value) && value.every(isRight)) || isList(value, path, faults);
  };
}

const isWhole = (value: unknown): boolean => Number.isSafeInteger(value);
const isPlace = (value: unknown): boolean => isWhole(value) && (value as number) >= 0;

/** The shape of `PackedEntries`. */
export const packedEntriesShape = object({
  wallMs: column(isWhole, anyWhole),
  devices: list(id<DeviceId>()),
  seen: column(isWholeRow, sightRow),
  positions: list(id<PositionId>()),
  position: column(isPlace, whole),
  shapes: list(list(text)),
  bodies: column(isBodyRow, anyRow),
});

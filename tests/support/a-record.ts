// A record written tap by tap by several devices, for tests: chained, stamped, with what each had seen.
//
// Time is that of the hub; each device's wall clock may be off by a skew. Between two taps a minute
// passes unless the tap says otherwise, so that nothing is a corroboration by accident.

import type { Identity, PositionId } from "../../machines/procedure/ids.ts";
import { entryDigest } from "../../machines/record/digest-entry.ts";
import type { Entry, EntryBody, EntryName, Role } from "../../machines/record/entry.ts";
import type { DeviceId, RunId } from "../../machines/record/ids.ts";
import { sha256Hex } from "../../workers/keys/sha-256.ts";

/** How a tap differs from the usual one. */
export type Tap = {
  /** Milliseconds since the tap before; a minute unless given. */
  readonly afterMs?: number;
  /** For whom; the device's own lane unless given. */
  readonly position?: string | null;
  /** Whose entries the device has heard before it taps: everybody's unless given. */
  readonly hears?: "everybody" | "nobody" | readonly string[];
};

/** A device in a record. */
export type DeviceInRecord = {
  readonly id: DeviceId;
  readonly lane: PositionId | null;
  /** What its wall clock shows more than the hub's, milliseconds. */
  skewMs: number;
  /** How many entries of each device it has heard. */
  readonly heard: Map<DeviceId, number>;
  /** What it had heard when it last wrote. */
  readonly heardAtLastTap: Map<DeviceId, number>;
  readonly entries: Entry[];
  lastDigest: string | null;
};

/** A record being written. */
export type RecordInWriting = {
  readonly devices: ReadonlyMap<string, DeviceInRecord>;
  /** Every entry, in the order in which it was written. */
  readonly entries: readonly Entry[];
  /** Adds a device that nobody has let in yet. */
  readonly addDevice: (name: string, lane?: string | null, skewMs?: number) => DeviceInRecord;
  /** Writes an entry by the device of that name; gives its name. */
  readonly tap: (device: string, body: EntryBody, tap?: Tap) => EntryName;
  /** One device hears all that the other knows. */
  readonly hear: (listener: string, speaker: string) => void;
  /** The hub's time now, milliseconds since 1970. */
  readonly nowMs: () => number;
};

/** A record that nobody has written in yet; it begins at the hub's time 1,000,000 ms. */
export function anEmptyRecord(isChained = true): RecordInWriting {
  const devices = new Map<string, DeviceInRecord>();
  const entries: Entry[] = [];
  let nowMs = 1_000_000;
  const deviceOf = (name: string): DeviceInRecord => {
    const device = devices.get(name);
    if (device === undefined) throw new Error(`No device is called ${name}.`);
    return device;
  };
  const hear = (listener: string, speaker: string): void => {
    const { heard, id } = deviceOf(listener);
    for (const [other, seq] of knownTo(deviceOf(speaker))) {
      if (other !== id && seq > (heard.get(other) ?? 0)) heard.set(other, seq);
    }
  };
  return {
    devices,
    entries,
    hear,
    nowMs: () => nowMs,
    addDevice: (name, lane = null, skewMs = 0) => {
      const device = aDevice(name, lane, skewMs);
      devices.set(name, device);
      return device;
    },
    tap: (name, body, tap = {}) => {
      nowMs += tap.afterMs ?? 60_000;
      const { hears = "everybody" } = tap;
      const others = hears === "everybody" ? [...devices.keys()] : hears === "nobody" ? [] : hears;
      for (const other of others) hear(name, other);
      const device = deviceOf(name);
      const entry = writeEntry(device, body, tap, nowMs);
      entries.push(entry);
      device.entries.push(entry);
      if (isChained) device.lastDigest = entryDigest(entry, sha256Hex);
      return { device: device.id, seq: entry.seq };
    },
  };
}

/** The devices of `aRecord`: name, role, lane. */
export const usualDevices: readonly (readonly [string, Role, string | null])[] = [
  ["reader", "reader", "iv"],
  ["tablet-1", "crew", "ev1"],
  ["tablet-2", "crew", "ev2"],
  ["wall", "observer", null],
];

/** A record of a run that "desk", a director, opened, let the usual devices into, and started. */
export function aRecord(): RecordInWriting {
  const record = anEmptyRecord();
  record.addDevice("desk");
  record.tap("desk", opening);
  for (const [name, role, lane] of usualDevices) {
    const device = record.addDevice(name, lane);
    record.tap("desk", aJoining(device, role, name));
  }
  record.tap("desk", { kind: "run.started" });
  return record;
}

/** The entry that opens a run of some procedure. */
export const opening: EntryBody = {
  kind: "run.opened",
  procedure: "a".repeat(64) as Identity,
  title: "Rehearsal",
  deviceName: "Desk",
  recovery: null,
};

/** A letter that lets a device in. */
export function aJoining(device: DeviceInRecord, role: Role, deviceName: string): EntryBody {
  return { kind: "device.joined", joined: device.id, role, lane: device.lane, deviceName };
}

function aDevice(name: string, lane: string | null, skewMs: number): DeviceInRecord {
  return {
    id: name as DeviceId,
    lane: lane as PositionId | null,
    skewMs,
    heard: new Map(),
    heardAtLastTap: new Map(),
    entries: [],
    lastDigest: null,
  };
}

function knownTo(device: DeviceInRecord): Map<DeviceId, number> {
  return new Map(device.heard).set(device.id, device.entries.length);
}

function writeEntry(device: DeviceInRecord, body: EntryBody, tap: Tap, nowMs: number): Entry {
  const seen: Record<DeviceId, number> = {};
  for (const [other, seq] of device.heard) {
    if (seq > (device.heardAtLastTap.get(other) ?? 0)) seen[other] = seq;
    device.heardAtLastTap.set(other, seq);
  }
  return {
    run: "desk.run" as RunId,
    device: device.id,
    seq: device.entries.length + 1,
    prev: device.lastDigest,
    wallMs: nowMs + device.skewMs,
    seen,
    position: (tap.position === undefined ? device.lane : tap.position) as PositionId | null,
    body,
  };
}

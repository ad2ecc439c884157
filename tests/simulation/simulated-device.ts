// A device of a simulation: the product's store and sync loop on a disk that outlives its crashes.

import type { SeededRandom } from "../../machines/base/seeded-random.ts";
import type { PositionId } from "../../machines/procedure/ids.ts";
import type { Entry, EntryBody, Role } from "../../machines/record/entry.ts";
import type { DeviceId, RunId } from "../../machines/record/ids.ts";
import type { RunningRecord } from "../../machines/record/running-record.ts";
import type { DeviceKey } from "../../workers/keys/device-key.ts";
import type { HubDoor } from "../../workers/link/hub-requests.ts";
import { createSyncLoop } from "../../workers/link/sync-loop.ts";
import type { SyncLoop } from "../../workers/link/sync-loop.ts";
import { appendEntry } from "../../workers/store/append-entry.ts";
import { clockJumpMs } from "../../workers/store/clock-watch.ts";
import type { ClockReading } from "../../workers/store/clock-watch.ts";
import type { Database } from "../../workers/store/database.ts";
import { isClosed } from "../../workers/store/read-rights.ts";
import { recordClockJump } from "../../workers/store/record-clock.ts";
import type { HandClock } from "../unit/workers/hub/hand-clock.ts";
import { createDisk, createPower, openOnDisk } from "./disk.ts";
import type { Disk, DiskImage, Power } from "./disk.ts";
import type { Network } from "./network.ts";

/** Who holds a device. */
export type Person = {
  readonly name: string;
  readonly role: Role;
  readonly lane: PositionId | null;
};

/** A device. */
export type SimulatedDevice = Person & {
  readonly id: DeviceId;
  readonly key: DeviceKey;
  disk: Disk;
  /** A copy of its disk that somebody made; null: nobody did. */
  image: DiskImage | null;
  readonly random: SeededRandom;
  readonly door: HubDoor;
  /** What its wall clock shows more than the hub's, milliseconds. */
  skewMs: number;
  readonly readWallMs: () => number;
  power: Power;
  database: Database;
  loop: SyncLoop;
  /** What it is doing over the network; null: nothing. Never rejects. */
  activity: Promise<unknown> | null;
  /** Both clocks when its page last looked; null: the page is new. */
  lastReading: ClockReading | null;
  isPartitioned: boolean;
  /** Its own entries up to this seq were noted with their times. */
  notedSeq: number;
  hasRun: boolean;
  /** The secret that it shows to the hub; kept before it is first shown. */
  joinToken: string | null;
  /** Entries that it told its person were taken. */
  readonly acknowledged: Entry[];
  /** What its page has folded so far; null: the page is new. */
  record: RunningRecord | null;
  /** Entries that it held when somebody last looked, by name. */
  readonly heldEntries: Map<string, Entry>;
};

/** What a device shares with the others. */
export type DeviceWorld = {
  readonly clock: HandClock;
  readonly network: Network;
};

/** A device that was switched on for the first time. */
export function createDevice(
  world: DeviceWorld,
  person: Person,
  { key, random }: { readonly key: DeviceKey; readonly random: SeededRandom },
): SimulatedDevice {
  const { clock, network } = world;
  const disk = createDisk();
  const power = createPower();
  const database = openOnDisk(`lanehold of ${person.name}`, disk, power);
  const device = { ...person, disk, random, power, database, skewMs: 0 };
  const line = network.lineOf(person.name, () => device.power.isOn);
  const door: HubDoor = { address: "http://hub.test", fetch: line };
  const readWallMs = (): number => clock.nowMs() + device.skewMs;
  // One object: what changes in it, changes for the line and the clock too.
  return Object.assign(device, {
    id: key.device,
    key,
    door,
    readWallMs,
    loop: createLoop(database, door, { random, readWallMs }),
    activity: null,
    lastReading: null,
    isPartitioned: false,
    notedSeq: 0,
    hasRun: false,
    joinToken: null,
    image: null,
    acknowledged: [],
    record: null,
    heldEntries: new Map(),
  });
}

/** Puts the device's id and name where the product keeps them, so that they come from the seed. */
export async function nameSimulatedDevice(device: SimulatedDevice): Promise<void> {
  await device.database.device.put({ ...device.key, key: "self", name: device.name });
}

/** Starts a device whose power went; all that is left is on its disk. */
export function restart(deviceMutable: SimulatedDevice): void {
  const { disk, name, door, random, readWallMs } = deviceMutable;
  deviceMutable.power = createPower();
  deviceMutable.database = openOnDisk(`lanehold of ${name}`, disk, deviceMutable.power);
  deviceMutable.loop = createLoop(deviceMutable.database, door, { random, readWallMs });
  deviceMutable.lastReading = null;
  deviceMutable.record = null;
}

/** What came of a tap. */
export type TapResult =
  /** `isCommitted`: nothing was still being written when the person was told. */
  | { readonly type: "taken"; readonly entry: Entry; readonly isCommitted: boolean }
  /** The person was told that it was not taken. */
  | { readonly type: "refused"; readonly error: string }
  /** The power went; nobody was told anything. */
  | { readonly type: "crashed" };

/** A person taps; the page first looks whether its clock was set back. */
export async function tapOn(
  device: SimulatedDevice,
  run: RunId,
  wish: { readonly body: EntryBody; readonly position: PositionId | null },
  monotonicMs: number,
): Promise<TapResult> {
  try {
    await watchClock(device, run, monotonicMs);
    const wallMs = device.readWallMs();
    const entry = await appendEntry(device.database, { run, device: device.id, wallMs, ...wish });
    if (!device.power.isOn) return { type: "crashed" };
    device.acknowledged.push(entry);
    return { type: "taken", entry, isCommitted: device.power.openWrites.size === 0 };
  } catch (cause) {
    if (!device.power.isOn) return { type: "crashed" };
    return { type: "refused", error: cause instanceof Error ? cause.name : String(cause) };
  }
}

async function watchClock(
  deviceMutable: SimulatedDevice,
  run: RunId,
  monotonicMs: number,
): Promise<void> {
  const now: ClockReading = { wallMs: deviceMutable.readWallMs(), monotonicMs };
  const { lastReading, database, id: device } = deviceMutable;
  deviceMutable.lastReading = now;
  const byMs = lastReading === null ? 0 : clockJumpMs(lastReading, now);
  if (byMs === 0 || (await isClosed(database, run))) return;
  await recordClockJump(database, { run, device, wallMs: now.wallMs }, byMs);
}

function createLoop(
  database: Database,
  door: HubDoor,
  of: { readonly random: SeededRandom; readonly readWallMs: () => number },
): SyncLoop {
  const { readWallMs } = of;
  return createSyncLoop({
    database,
    door,
    readWallMs,
    random: of.random.nextFraction,
    tell: () => undefined,
  });
}

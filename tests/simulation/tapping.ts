// A tap of a simulated person, and what must hold at once.

import { canonicalJson } from "../../machines/base/canonical-json.ts";
import { entryText } from "../../machines/record/digest-entry.ts";
import type { Entry } from "../../machines/record/entry.ts";
import { foldRun } from "../../machines/record/fold-run.ts";
import { orderEntries } from "../../machines/record/order-entries.ts";
import type { RunState } from "../../machines/record/run-state.ts";
import {
  addEntries,
  emptyRunningRecord,
  stateOfRecord,
} from "../../machines/record/running-record.ts";
import { entriesAfter, entriesOfRun } from "../../workers/store/read-run.ts";
import { lookForCrash } from "./look-for-crash.ts";
import { happens } from "./chance.ts";
import { recordsOnDisk } from "./disk.ts";
import { wishOf } from "./people.ts";
import { tapOn } from "./simulated-device.ts";
import type { SimulatedDevice } from "./simulated-device.ts";
import { note } from "./simulation.ts";
import type { Simulation } from "./simulation.ts";

/** A person looks at the device and taps. */
export async function tapAsPerson(simulation: Simulation, device: SimulatedDevice): Promise<void> {
  const { run, index, random, clock } = simulation;
  let wish;
  let entries: readonly Entry[];
  try {
    entries = await lookAt(simulation, device);
    checkNothingGone(simulation, device);
    const state = stateOf(simulation, device);
    wish = wishOf({ device, index, entries, state, random });
  } catch (cause) {
    // The power went while the screen was drawn; anything else is a mistake.
    if (device.power.isOn) throw cause;
    return lookForCrash(simulation, device);
  }
  const result = await tapOn(device, run, wish, clock.nowMs());
  const what = result.type === "refused" ? `refused ${result.error}` : result.type;
  note(simulation, `tap-${result.type}`, `${device.name} ${canonicalJson(wish.body)} ${what}`);
  if (result.type === "refused" && result.error !== "QuotaExceededError") {
    simulation.faults.push(`a tap is taken, or there is no room for it: ${result.error}`);
  }
  if (result.type === "refused") await checkNothingKept(simulation, device, entries);
  if (result.type === "taken") {
    if (!result.isCommitted) {
      simulation.faults.push(`a tap is told when it is committed: ${device.name}`);
    }
    checkSeen(simulation, result.entry, entries);
    checkTakenOnce(simulation, device, entries);
  }
  await lookForCrash(simulation, device);
}

// What the device shows: folded as the entries came, which is the same as folded from the beginning.
function stateOf(simulation: Simulation, deviceMutable: SimulatedDevice): RunState {
  const { index, random, faults } = simulation;
  const { disk, name } = deviceMutable;
  const entries = recordsOnDisk(disk, "entries");
  if (deviceMutable.record === null) {
    deviceMutable.record = emptyRunningRecord(index);
    addEntries(deviceMutable.record, entries);
  }
  const state = stateOfRecord(deviceMutable.record);
  if (!happens(random, 0.15)) return state;
  const anew = foldRun(index, orderEntries(entries).ordered);
  if (canonicalJson(anew) !== canonicalJson(state)) {
    faults.push(`what is folded as it comes is what is folded anew: on ${name} it is not`);
  }
  return state;
}

// Mostly what is on the disk, past the product; now and then as a page reads it, step by step.
async function lookAt(
  { random, run }: Simulation,
  { database, disk }: SimulatedDevice,
): Promise<readonly Entry[]> {
  const isByPage = happens(random, 0.2);
  return isByPage ? entriesOfRun(database, run) : recordsOnDisk(disk, "entries");
}

// [write-durably 2]: what was refused is not there. Clock notes are the device's own.
async function checkNothingKept(
  { run, faults }: Simulation,
  { database, id, name, power }: SimulatedDevice,
  before: readonly Entry[],
): Promise<void> {
  if (!power.isOn) return;
  power.stepsLeft = null;
  const ownBefore = before.filter((entry) => entry.device === id).length;
  const kept = await entriesAfter(database, { run, device: id }, ownBefore);
  const isKept = kept.some(({ body }) => !body.kind.startsWith("clock."));
  if (isKept) faults.push(`refused taps are not kept: ${name} kept one`);
}

// One tap is one entry, even if the connection was lost just when it was committed.
function checkTakenOnce(
  { faults }: Simulation,
  { disk, id, name }: SimulatedDevice,
  before: readonly Entry[],
): void {
  const ownBefore = before.filter(({ device }) => device === id).length;
  const taken = recordsOnDisk(disk, "entries").filter(({ device, seq, body }) => {
    return device === id && seq > ownBefore && !body.kind.startsWith("clock.");
  });
  if (taken.length !== 1) faults.push(`one tap is one entry: ${name} has ${taken.length}`);
}

// [append-entry 3]: with its entry a device has told of everything that it held of others.
function checkSeen({ faults }: Simulation, tapped: Entry, before: readonly Entry[]): void {
  const own = before.filter(({ device }) => device === tapped.device);
  // A clock note that went in before the tap has told of it.
  if (tapped.seq !== own.length + 1) return;
  const others = before.filter(({ device }) => device !== tapped.device);
  for (const { device, seq } of others) {
    const isTold = [...own, tapped].some(({ seen }) => (seen[device] ?? 0) >= seq);
    if (!isTold) faults.push(`what was held is told as seen: ${tapped.device}:${tapped.seq}`);
  }
}

/**
 * What a device once held, it holds for ever as it was; only a stand-in gives way. What is new goes into what
 * its page has folded.
 */
export function checkNothingGone(
  { faults, putBack, liar }: Simulation,
  deviceMutable: SimulatedDevice,
): void {
  const { name, disk, heldEntries } = deviceMutable;
  // A chain that its device forked gives way to the branch that the hub lists.
  const mayFork = (entry: Entry) => putBack.has(entry.device) || entry.device === liar?.key.device;
  const entries = recordsOnDisk(disk, "entries");
  if (entries.length < heldEntries.size) {
    const names = new Set(entries.map(nameOf));
    for (const [gone, entry] of heldEntries) {
      if (names.has(gone)) continue;
      heldEntries.delete(gone);
      deviceMutable.record = null;
      if (!mayFork(entry)) faults.push(`what is held stays: ${gone} is gone from ${name}`);
    }
  }
  const news: Entry[] = [];
  for (const entry of entries) {
    const before = heldEntries.get(nameOf(entry));
    // What was not written again is the same object.
    if (before === entry) continue;
    heldEntries.set(nameOf(entry), entry);
    news.push(entry);
    if (before === undefined || before.body.kind === "entry.withheld") continue;
    if (entryText(before) === entryText(entry)) continue;
    deviceMutable.record = null;
    if (!mayFork(entry)) faults.push(`what is held stays as it is: ${nameOf(entry)} on ${name}`);
  }
  if (deviceMutable.record !== null) addEntries(deviceMutable.record, news);
}

function nameOf({ device, seq }: Entry): string {
  return `${device}:${seq}`;
}

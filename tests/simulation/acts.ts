// What can happen next in a simulation, and how often it does.

import { assert } from "../../machines/base/assert.ts";
import type { Weighted } from "./chance.ts";
import { happens, pick } from "./chance.ts";
import { canJoin, joinRun } from "./joining.ts";
import type { Message } from "./network.ts";
import { lookForCrash } from "./look-for-crash.ts";
import { tapAsPerson } from "./tapping.ts";
import type { SimulatedDevice } from "./simulated-device.ts";
import { restart } from "./simulated-device.ts";
import { note } from "./simulation.ts";
import type { Simulation } from "./simulation.ts";

/** Something that happens. */
export type Act = () => Promise<void>;

/** Everything that can happen now. */
export function actsNow(simulation: Simulation): readonly Weighted<Act>[] {
  const { random, devices, network, hub } = simulation;
  const on = devices.filter(({ power }) => power.isOn);
  const off = devices.filter(({ power }) => !power.isOn);
  const inRun = on.filter(({ hasRun }) => hasRun);
  const idle = inRun.filter(({ activity }) => activity === null);
  const joining = on.filter((device) => canJoin(simulation, device));
  const { messages, stragglers } = network;
  const acts: Weighted<Act>[] = [];
  const add = <Value>(
    weight: number,
    from: readonly Value[],
    act: (one: Value) => Promise<void>,
  ) => {
    if (from.length > 0) acts.push([weight, () => act(pick(random, from))]);
  };
  add(30, inRun, (device) => tapAsPerson(simulation, device));
  add(14, idle, (device) => startSync(simulation, device));
  add(34 + 4 * messages.length, messages, (message) => befall(simulation, message));
  add(2, stragglers, (straggler) => arriveLate(simulation, straggler));
  add(6, joining, (device) => joinRun(simulation, device));
  add(4, on, (device) => troubleDevice(simulation, device));
  add(1, on, (device) => crash(simulation, device));
  add(8, off, (device) => startAgain(simulation, device));
  const cutOff = devices.filter(({ isPartitioned }) => isPartitioned);
  add(1, devices, (device) => togglePartition(simulation, device));
  add(1.5 * cutOff.length, cutOff, (device) => togglePartition(simulation, device));
  const full = devices.filter(({ disk }) => disk.roomForWrites !== null);
  add(2 * full.length, full, (device) => makeRoom(simulation, device));
  acts.push([hub.isUp() ? 1 : 8, () => toggleHub(simulation)]);
  if (hub.isUp()) acts.push([2, () => backUpOrRestore(simulation)]);
  return acts;
}

/** Starts a round of a device's sync; it goes as far as its first request, or to its end. */
export async function startSync(simulation: Simulation, device: SimulatedDevice): Promise<void> {
  note(simulation, "sync", device.name);
  await goOn(simulation, device, () => {
    device.activity = device.loop
      .syncRun(simulation.run)
      .then(
        (end) => end.type,
        (cause: unknown) => (cause instanceof Error ? cause.name : String(cause)),
      )
      .then((how) => noteEnd(simulation, device, how));
  });
}

// How a round may end while the power is on.
const usualEnds: ReadonlySet<string> = new Set([
  "round.finished",
  "round.put-off",
  "QuotaExceededError",
]);

/** Brings a message to the hub; its answer then waits to come back. */
export async function reachHub(simulation: Simulation, message: Message): Promise<void> {
  const { hub, network } = simulation;
  const device = deviceOf(simulation, message.device);
  message.answer = device.isPartitioned ? null : await hub.ask(message);
  note(simulation, "reached", `${nameOf(message)} ${message.answer?.status ?? "nobody"}`);
  if (message.answer === null) {
    await goOn(simulation, device, () => network.settle(message, "cut"));
  }
}

/** Ends a message's wait, and lets its device go on as far as its next one, or to its end. */
export async function settle(
  simulation: Simulation,
  message: Message,
  how: "answer" | "cut",
): Promise<void> {
  const device = deviceOf(simulation, message.device);
  const isCut = how === "cut" || device.isPartitioned;
  const what = isCut ? (message.answer === null ? "request-cut" : "answer-cut") : "answered";
  note(simulation, what, nameOf(message));
  await goOn(simulation, device, () => {
    simulation.network.settle(message, isCut ? "cut" : "answer");
  });
}

function noteEnd(simulation: Simulation, device: SimulatedDevice, how: string): void {
  device.activity = null;
  if (!device.power.isOn) return;
  note(simulation, how, device.name);
  if (!usualEnds.has(how)) simulation.faults.push(`a round ends well or is put off: ${how}`);
}

/** A device whose power went is started again. */
export async function startAgain(simulation: Simulation, device: SimulatedDevice): Promise<void> {
  assert(device.activity === null, "what a device was doing ended with its power");
  note(simulation, "start", device.name);
  restart(device);
}

async function goOn(simulation: Simulation, device: SimulatedDevice, act: () => void) {
  const asked = simulation.network.nextMessage(device.name);
  act();
  await Promise.race([asked, device.activity]);
  await lookForCrash(simulation, device);
}

function deviceOf({ devices }: Simulation, name: string): SimulatedDevice {
  return devices.find((device) => device.name === name) as SimulatedDevice;
}

// Without the query, which holds the epoch of a real storage.
function nameOf({ device, method, path }: Pick<Message, "device" | "method" | "path">): string {
  return `${device} ${method} ${path.split("?")[0]}`;
}

async function befall(simulation: Simulation, message: Message): Promise<void> {
  const { random, network } = simulation;
  if (message.answer !== null) {
    if (happens(random, 0.02)) {
      const body = new TextEncoder().encode("<html>Sign in to the guest network</html>");
      message.answer = { status: 200, headers: {}, body };
      note(simulation, "garbled", message.device);
    }
    return settle(simulation, message, happens(random, 0.07) ? "cut" : "answer");
  }
  const chance = random.nextFraction();
  if (chance < 0.05) return settle(simulation, message, "cut");
  if (chance < 0.1) {
    // The device gives up, but the request is still on its way.
    network.stragglers.push(message);
    return settle(simulation, message, "cut");
  }
  if (chance < 0.16) {
    network.stragglers.push(message);
    note(simulation, "duplicated", nameOf(message));
  }
  return reachHub(simulation, message);
}

async function arriveLate(simulation: Simulation, straggler: Message | object): Promise<void> {
  const { network, hub, random } = simulation;
  const index = network.stragglers.indexOf(straggler as Message);
  const [request] = network.stragglers.splice(index, 1);
  if (request === undefined || happens(random, 0.2)) return;
  const answer = await hub.ask(request);
  note(simulation, "straggler", `${nameOf(request)} ${answer?.status ?? "nobody"}`);
}

async function troubleDevice(simulation: Simulation, device: SimulatedDevice): Promise<void> {
  const { random } = simulation;
  const { disk, power, name } = device;
  switch (random.nextBelow(5)) {
    case 0:
    case 1:
      power.stepsLeft = 1 + random.nextBelow(40);
      return note(simulation, "crash-ahead", `${name} ${power.stepsLeft}`);
    case 2:
      device.skewMs += random.nextBelow(6 * 3_600_000) - 3 * 3_600_000;
      return note(simulation, "clock-set", `${name} ${device.skewMs}`);
    case 3:
      disk.roomForWrites = random.nextBelow(6);
      return note(simulation, "full", name);
    default:
      disk.writesUntilLost = random.nextBelow(6);
      return note(simulation, "connection-lost-ahead", name);
  }
}

async function makeRoom(simulation: Simulation, device: SimulatedDevice): Promise<void> {
  device.disk.roomForWrites = null;
  note(simulation, "room", device.name);
}

async function crash(simulation: Simulation, device: SimulatedDevice): Promise<void> {
  device.power.isOn = false;
  await lookForCrash(simulation, device);
}

async function togglePartition(simulation: Simulation, device: SimulatedDevice): Promise<void> {
  device.isPartitioned = !device.isPartitioned;
  note(simulation, device.isPartitioned ? "partition" : "partition-over", device.name);
}

async function toggleHub(simulation: Simulation): Promise<void> {
  const { hub } = simulation;
  const isUp = hub.isUp();
  await (isUp ? hub.stop() : hub.start());
  note(simulation, isUp ? "hub-stop" : "hub-start");
}

async function backUpOrRestore(simulation: Simulation): Promise<void> {
  const { hub, random } = simulation;
  if (hub.backups() === 0 || happens(random, 0.6)) {
    await hub.backUp();
    return note(simulation, "backup");
  }
  const backup = random.nextBelow(hub.backups());
  await hub.restore(backup);
  note(simulation, "restore", String(backup));
}

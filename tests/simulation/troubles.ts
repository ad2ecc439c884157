// What befalls devices, network and hub, as far as the shape of the schedule has it.

import type { Weighted } from "./chance.ts";
import { happens, pickWeighted } from "./chance.ts";
import { lookForCrash } from "./look-for-crash.ts";
import type { Message } from "./network.ts";
import type { Trouble } from "./shape.ts";
import type { SimulatedDevice } from "./simulated-device.ts";
import { note } from "./simulation.ts";
import type { Simulation } from "./simulation.ts";
import { nameOfRequest, reachHub, settle } from "./syncing.ts";

/** What befalls a message: it is cut, late, doubled or garbled, or goes through. */
export async function befall(simulation: Simulation, message: Message): Promise<void> {
  const { random, network } = simulation;
  const { troubles } = simulation.shape;
  if (message.answer !== null) {
    if (troubles.has("garble") && happens(random, 0.02)) {
      const body = new TextEncoder().encode("<html>Sign in to the guest network</html>");
      message.answer = { status: 200, headers: {}, body };
      note(simulation, "garbled", message.device);
    }
    return settle(
      simulation,
      message,
      troubles.has("cut") && happens(random, 0.07) ? "cut" : "answer",
    );
  }
  const chance = random.nextFraction();
  if (troubles.has("cut") && chance < 0.05) return settle(simulation, message, "cut");
  if (troubles.has("late") && chance < 0.1) {
    // The device gives up, but the request is still on its way.
    network.stragglers.push(message);
    return settle(simulation, message, "cut");
  }
  if (troubles.has("late") && chance < 0.16) {
    network.stragglers.push(message);
    note(simulation, "duplicated", nameOfRequest(message));
  }
  return reachHub(simulation, message);
}

/** A straggler reaches the hub, or never does. */
export async function arriveLate(
  simulation: Simulation,
  straggler: Message | object,
): Promise<void> {
  const { network, hub, random } = simulation;
  const index = network.stragglers.indexOf(straggler as Message);
  const [request] = network.stragglers.splice(index, 1);
  if (request === undefined || happens(random, 0.2)) return;
  const answer = await hub.ask(request);
  note(simulation, "straggler", `${nameOfRequest(request)} ${answer?.status ?? "nobody"}`);
}

type DeviceTrouble = (simulation: Simulation, device: SimulatedDevice) => void;

const deviceTroubles: readonly Weighted<readonly [Trouble, DeviceTrouble]>[] = [
  [2, ["crash", crashAhead]],
  [1, ["clock-set", setClock]],
  [1, ["full", fillDisk]],
  [1, ["connection-lost", loseConnection]],
];

/** Some trouble of a device's own. */
export async function troubleDevice(
  simulation: Simulation,
  device: SimulatedDevice,
): Promise<void> {
  const { random, shape } = simulation;
  const possible = deviceTroubles.filter(([, [name]]) => shape.troubles.has(name));
  if (possible.length === 0) return;
  const [, act] = pickWeighted(random, possible);
  act(simulation, device);
}

function crashAhead(simulation: Simulation, { power, name }: SimulatedDevice): void {
  power.stepsLeft = 1 + simulation.random.nextBelow(40);
  note(simulation, "crash-ahead", `${name} ${power.stepsLeft}`);
}

function setClock(simulation: Simulation, deviceMutable: SimulatedDevice): void {
  deviceMutable.skewMs += simulation.random.nextBelow(6 * 3_600_000) - 3 * 3_600_000;
  note(simulation, "clock-set", `${deviceMutable.name} ${deviceMutable.skewMs}`);
}

function fillDisk(simulation: Simulation, { disk, name }: SimulatedDevice): void {
  disk.roomForWrites = simulation.random.nextBelow(6);
  note(simulation, "full", name);
}

function loseConnection(simulation: Simulation, { disk, name }: SimulatedDevice): void {
  const isAtCommit = happens(simulation.random, 0.5);
  disk[isAtCommit ? "commitsUntilLost" : "writesUntilLost"] = simulation.random.nextBelow(6);
  note(simulation, "connection-lost-ahead", name);
}

/** There is room on the device's disk again. */
export async function makeRoom(simulation: Simulation, device: SimulatedDevice): Promise<void> {
  device.disk.roomForWrites = null;
  note(simulation, "room", device.name);
}

/** The device's power goes between two of its doings. */
export async function crash(simulation: Simulation, device: SimulatedDevice): Promise<void> {
  device.power.isOn = false;
  await lookForCrash(simulation, device);
}

/** A device leaves the network, or comes back to it. */
export async function togglePartition(
  simulation: Simulation,
  device: SimulatedDevice,
): Promise<void> {
  device.isPartitioned = !device.isPartitioned;
  note(simulation, device.isPartitioned ? "partition" : "partition-over", device.name);
}

/** The hub is stopped, or started again. */
export async function toggleHub(simulation: Simulation): Promise<void> {
  const { hub } = simulation;
  const isUp = hub.isUp();
  await (isUp ? hub.stop() : hub.start());
  note(simulation, isUp ? "hub-stop" : "hub-start");
}

/** The hub is backed up, or put back from some backup. */
export async function backUpOrRestore(simulation: Simulation): Promise<void> {
  const { hub, random } = simulation;
  if (hub.backups() === 0 || happens(random, 0.6)) {
    await hub.backUp();
    return note(simulation, "backup");
  }
  const backup = random.nextBelow(hub.backups());
  await hub.restore(backup);
  note(simulation, "restore", String(backup));
}

/** There is little room on the hub's disk, or enough again. */
export async function fillOrEmptyHub(simulation: Simulation): Promise<void> {
  const { hub, random } = simulation;
  const isFull = hub.isFull();
  hub.leaveRoom(isFull ? null : random.nextBelow(4));
  note(simulation, isFull ? "hub-room" : "hub-full");
}

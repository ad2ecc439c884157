// What can happen next in a simulation, and how often it does.

import { pick } from "./chance.ts";
import type { Weighted } from "./chance.ts";
import { canJoin, joinRun } from "./joining.ts";
import type { Simulation } from "./simulation.ts";
import { copyOrPutBack } from "./images.ts";
import { handOver } from "./handing-over.ts";
import { tellLie } from "./liar.ts";
import { giveLyingFile } from "./lying-file.ts";
import { pullsToStore, tapInTwoWindows, tapWhileStoring } from "./second-window.ts";
import { devicesToStrikeOff, strikeOff } from "./striking-off.ts";
import { messagesTogether, reachHubTogether, startAgain, startSync } from "./syncing.ts";
import { tapAsPerson } from "./tapping.ts";
import {
  arriveLate,
  backUpOrRestore,
  befall,
  crash,
  fillOrEmptyHub,
  makeRoom,
  toggleHub,
  togglePartition,
  troubleDevice,
} from "./troubles.ts";

/** Something that happens. */
export type Act = () => Promise<void>;

/** Everything that can happen now. */
export function actsNow(simulation: Simulation): readonly Weighted<Act>[] {
  const { random, devices, network, hub, shape } = simulation;
  const { troubles } = shape;
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
  if (troubles.has("crash")) add(1, on, (device) => crash(simulation, device));
  add(8, off, (device) => startAgain(simulation, device));
  const cutOff = devices.filter(({ isPartitioned }) => isPartitioned);
  if (troubles.has("partition")) add(1, devices, (device) => togglePartition(simulation, device));
  add(1.5 * cutOff.length, cutOff, (device) => togglePartition(simulation, device));
  const full = devices.filter(({ disk }) => disk.roomForWrites !== null);
  add(2 * full.length, full, (device) => makeRoom(simulation, device));
  if (troubles.has("hub-stop")) acts.push([hub.isUp() ? 1 : 8, () => toggleHub(simulation)]);
  const canRestore = troubles.has("hub-restore") && !troubles.has("image");
  if (canRestore && hub.isUp()) acts.push([2, () => backUpOrRestore(simulation)]);
  addActors(simulation, acts, add);
  return acts;
}

type Add = <Value>(
  weight: number,
  from: readonly Value[],
  act: (one: Value) => Promise<void>,
) => void;

function addActors(simulation: Simulation, actsMutable: Weighted<Act>[], add: Add): void {
  const { devices, hub, shape, struckOff } = simulation;
  const { troubles } = shape;
  const inRun = devices.filter(({ power, hasRun }) => power.isOn && hasRun);
  const idle = inRun.filter(({ activity }) => activity === null);
  const together = messagesTogether(simulation);
  if (together !== null) actsMutable.push([6, () => reachHubTogether(simulation, together)]);
  if (troubles.has("second-window")) {
    add(3, inRun, (device) => tapInTwoWindows(simulation, device));
    add(8, pullsToStore(simulation), (message) => tapWhileStoring(simulation, message));
  }
  if (troubles.has("liar")) {
    actsMutable.push([12, () => tellLie(simulation)]);
    add(4, idle, (device) => giveLyingFile(simulation, device));
  }
  if (troubles.has("strike-off")) {
    add(4, devicesToStrikeOff(simulation), (device) => strikeOff(simulation, device));
    const out = idle.filter((device) => struckOff.has(device.name) && hub.isUp());
    add(2, out, (device) => joinRun(simulation, device));
  }
  if (troubles.has("image") && hub.isUp()) {
    add(6, idle, (device) => copyOrPutBack(simulation, device));
  }
  if (troubles.has("hand-over")) add(6, idle, (device) => handOver(simulation, device));
  if (troubles.has("hub-full")) {
    actsMutable.push([hub.isFull() ? 5 : 2, () => fillOrEmptyHub(simulation)]);
  }
}

// After the schedule: everything works again, and everybody syncs until nothing changes any more.
//
// [liveness] That takes a few rounds, and then every device has sent all that it holds.

import { canonicalJson } from "../../machines/base/canonical-json.ts";
import { unsentOfRun } from "../../workers/store/read-run.ts";
import { happens } from "./chance.ts";
import { recordsOnDisk } from "./disk.ts";
import { lookForCrash } from "./look-for-crash.ts";
import { checkSecrecy } from "./checkers/secrecy.ts";
import { isLockedOut, joinRun } from "./joining.ts";
import { tapOn } from "./simulated-device.ts";
import type { SimulatedDevice } from "./simulated-device.ts";
import { note } from "./simulation.ts";
import type { Simulation } from "./simulation.ts";
import { reachHub, settle, startAgain, startSync } from "./syncing.ts";
import { checkNothingGone } from "./tapping.ts";
import { noteWritten } from "./written.ts";

/** So many times everybody syncs, at the most. */
const sweepsMax = 12;

/** Heals everything, syncs until it is quiet, closes the run, and syncs again. */
export async function heal(simulation: Simulation): Promise<void> {
  const { devices, hub, network, run, faults } = simulation;
  note(simulation, "heal");
  if (!hub.isUp()) await hub.start();
  hub.leaveRoom(null);
  for (const device of devices) {
    device.isPartitioned = false;
    device.disk.roomForWrites = null;
    device.disk.writesUntilLost = null;
    device.disk.commitsUntilLost = null;
    if (!device.power.isOn) await startAgain(simulation, device);
    device.power.stepsLeft = null;
  }
  for (const straggler of network.stragglers.splice(0)) await hub.ask(straggler);
  await deliverAll(simulation);
  noteWritten(simulation);
  await sweepUntilQuiet(simulation);
  if (simulation.struckOff.size > 0 && happens(simulation.random, 0.5)) {
    for (const device of devices) {
      if (simulation.struckOff.has(device.name)) await joinRun(simulation, device, false);
    }
    await sweepUntilQuiet(simulation);
  }
  if ((await hub.storage().readRun(run))?.isClosed !== true) {
    faults.push(...(await checkSecrecy(simulation)));
    const desk = devices[0] as SimulatedDevice;
    const wish = { body: { kind: "run.closed" }, position: null } as const;
    await tapOn(desk, run, wish, simulation.clock.nowMs());
    noteWritten(simulation);
    await sweepUntilQuiet(simulation);
  }
  for (const line of hub.failures) faults.push(`the hub does not fail: ${line}`);
}

async function sweepUntilQuiet(simulation: Simulation): Promise<void> {
  const { devices, faults, clock, seed } = simulation;
  let before = "";
  for (let sweep = 1; sweep <= sweepsMax; sweep += 1) {
    for (const device of devices) {
      // So that the hub does not find that anybody asks too often.
      clock.pass(2_000);
      if (!device.power.isOn) await startAgain(simulation, device);
      device.power.stepsLeft = null;
      if (!device.hasRun || (await isLockedOut(simulation, device))) {
        await joinRun(simulation, device, false);
      }
      if (!device.hasRun || !device.power.isOn) continue;
      await startSync(simulation, device);
      await deliverAll(simulation);
      noteWritten(simulation);
    }
    const now = pictureOf(simulation);
    // Mostly it is enough that everybody stands where the hub stands; now and then it is looked
    // whether one more sweep truly changes nothing.
    const isQuiet = now === before || (seed % 8 !== 0 && (await isEverybodyLevel(simulation)));
    if (isQuiet) return checkAllSent(simulation);
    before = now;
  }
  faults.push(`everybody is quiet after ${sweepsMax} rounds: they are not`);
}

// Whether the hub has all that a device wrote, and each device all that the hub lists.
async function isEverybodyLevel(simulation: Simulation): Promise<boolean> {
  const { devices, hub, run } = simulation;
  const storage = hub.storage();
  const head = await storage.readHead(run);
  const have = await storage.readHave(run);
  if ((await storage.readAdmissions(run)).length > 0) return false;
  return devices.every(({ disk, id, hasRun, name }) => {
    const link = recordsOnDisk(disk, "links").find((one) => one.run === run);
    const own = recordsOnDisk(disk, "heads").find(({ device }) => device === id);
    const hasAll = link?.cursor?.epoch === storage.epoch && link.cursor.after === head;
    const isOut = simulation.struckOff.has(name);
    return hasRun && (hasAll || isOut) && (have[id] ?? 0) === (own?.seq ?? 0);
  });
}

async function deliverAll(simulation: Simulation): Promise<void> {
  const { messages } = simulation.network;
  while (messages.length > 0) {
    const message = messages[0];
    if (message === undefined) break;
    if (message.answer === null) await reachHub(simulation, message);
    else await settle(simulation, message, "answer");
  }
  for (const device of simulation.devices) {
    if (!device.power.isOn) await lookForCrash(simulation, device);
  }
}

// All that is held, in short.
function pictureOf(simulation: Simulation): string {
  const pictures = simulation.devices.map((device) => {
    checkNothingGone(simulation, device);
    const heads = recordsOnDisk(device.disk, "heads");
    const short = heads.map(({ device: of, seq, replacements }) => [of, seq, replacements]);
    return [device.name, recordsOnDisk(device.disk, "entries").length, short];
  });
  return canonicalJson(pictures);
}

async function checkAllSent(simulation: Simulation): Promise<void> {
  const { devices, run, faults, struckOff, putBack } = simulation;
  for (const { name, database, id, hasRun } of devices) {
    if (!hasRun) faults.push(`everybody gets into the run: ${name} does not`);
    // Struck off, it cannot learn which branch of its chain stands, and so not write the other again.
    if (struckOff.has(name) && putBack.has(id)) continue;
    const unsent = await unsentOfRun(database, { run, device: id });
    if (unsent > 0) {
      faults.push(`everything is sent once it is quiet: ${name} holds back ${unsent}`);
    }
  }
}

// Letting devices into the run: once at first, and again when a hub put back from an older backup
// no longer knows them.

import { createToken } from "../../workers/keys/random-token.ts";
import { askInvite, askJoin } from "../../workers/link/hub-requests.ts";
import { joiningOf } from "../../workers/link/introduce-device.ts";
import type { HubDoor } from "../../workers/link/hub-requests.ts";
import { readDevice } from "../../workers/store/this-device.ts";
import { storeJoinedRun } from "../../workers/store/join-run.ts";
import { readLink, readRun } from "../../workers/store/read-run.ts";
import { requestPath } from "./network.ts";
import type { SimulatedDevice } from "./simulated-device.ts";
import { note } from "./simulation.ts";
import type { Simulation } from "./simulation.ts";

/** Whether a device that is in nothing could now be let in: people stand together, with a network. */
export function canJoin({ hub, devices }: Simulation, device: SimulatedDevice): boolean {
  const [desk] = devices;
  if (desk === undefined || device === desk || device.hasRun || !hub.isUp()) return false;
  const areBothThere = [desk, device].every(({ power }) => power.isOn && power.stepsLeft === null);
  return areBothThere && [desk, device].every((one) => !one.isPartitioned && hasDisk(one));
}

/** The desk gives a code, and the device joins with it; nothing, if the hub does not know the run. */
export async function joinRun(simulation: Simulation, device: SimulatedDevice): Promise<void> {
  const { devices, run } = simulation;
  const desk = devices[0] as SimulatedDevice;
  const stored = await readRun(desk.database, run);
  const theirs = stored?.token ?? null;
  if (theirs === null) return;
  const door = openDoor(simulation);
  const { role, lane } = device;
  try {
    const { code } = await askInvite(door, { run, token: theirs }, { role, lane });
    const token = createToken();
    const self = await readDevice(device.database);
    const answer = await askJoin(door, await joiningOf(code, self, token));
    await storeJoinedRun(device.database, answer, token, device.readWallMs());
    device.hasRun = true;
    note(simulation, "join", device.name);
  } catch (cause) {
    note(
      simulation,
      "join-failed",
      `${device.name} ${cause instanceof Error ? cause.message : ""}`,
    );
  }
}

/** Whether the hub no longer knows the device, which so must be let in again. */
export async function isLockedOut(
  { run }: Simulation,
  { database, hasRun }: SimulatedDevice,
): Promise<boolean> {
  return hasRun && (await readLink(database, run)).refused?.code === "token-wrong";
}

function hasDisk({ disk }: SimulatedDevice): boolean {
  return disk.roomForWrites === null && disk.writesUntilLost === null;
}

// A line that nothing befalls.
function openDoor({ hub }: Simulation): HubDoor {
  return {
    address: "http://hub.test",
    fetch: async (input, init) => {
      const answer = await hub.ask({
        device: "none",
        method: init?.method ?? "GET",
        path: requestPath(input),
        headers: Object.fromEntries(new Headers(init?.headers)),
        body: (init?.body as Uint8Array<ArrayBuffer> | undefined) ?? null,
      });
      if (answer === null) throw new TypeError("Failed to fetch");
      return new Response(answer.body, { status: answer.status, headers: answer.headers });
    },
  };
}

// Letting devices into the run: once at first, and again when a hub put back from an older backup
// no longer knows them.

import { createToken } from "../../workers/keys/random-token.ts";
import { askInvite, askJoin } from "../../workers/link/hub-requests.ts";
import { joiningOf } from "../../workers/link/introduce-device.ts";
import type { HubDoor } from "../../workers/link/hub-requests.ts";
import { readDevice } from "../../workers/store/this-device.ts";
import { storeJoinedRun } from "../../workers/store/join-run.ts";
import { readLink } from "../../workers/store/read-run.ts";
import { fixedKey } from "../support/fixed-keys.ts";
import { HubRefusedError } from "../../workers/link/hub-refused-error.ts";
import { happens } from "./chance.ts";
import { recordsOnDisk } from "./disk.ts";
import { lookForCrash } from "./look-for-crash.ts";
import { requestPath } from "./network.ts";
import { invitationMs } from "./simulated-hub.ts";
import type { Person, SimulatedDevice } from "./simulated-device.ts";
import { note } from "./simulation.ts";
import type { Simulation } from "./simulation.ts";

/** Whether a device that is in nothing could now be let in: people stand together, with a network. */
export function canJoin({ hub, devices }: Simulation, device: SimulatedDevice): boolean {
  const [desk] = devices;
  if (desk === undefined || device === desk || device.hasRun || !hub.isUp()) return false;
  const areBothThere = [desk, device].every(({ power }) => power.isOn && power.stepsLeft === null);
  return areBothThere && [desk, device].every((one) => !one.isPartitioned && hasDisk(one));
}

/**
 * The desk asks the hub for a code. Null: it cannot, or the hub does not know the run.
 *
 * Errors: none of the hub's refusals.
 */
export async function askCode(
  simulation: Simulation,
  { role, lane }: Pick<Person, "role" | "lane">,
): Promise<string | null> {
  const { devices, run } = simulation;
  const [desk] = devices;
  if (desk === undefined || !desk.power.isOn || desk.power.stepsLeft !== null) return null;
  const token = recordsOnDisk(desk.disk, "runs").find((one) => one.run === run)?.token ?? null;
  if (token === null) return null;
  try {
    return (await askInvite(openDoor(simulation), { run, token }, { role, lane })).code;
  } catch (cause) {
    note(simulation, "invite-failed", cause instanceof Error ? cause.message : "");
    return null;
  }
}

/** The desk gives a code, and the device joins with it; nothing, if the hub does not know the run. */
export async function joinRun(
  simulation: Simulation,
  deviceMutable: SimulatedDevice,
  mayCrash = true,
): Promise<void> {
  const { random, shape } = simulation;
  const code = await askCode(simulation, deviceMutable);
  if (code === null) return;
  // The product keeps it before it shows it, so that a device that crashes meanwhile can ask again.
  deviceMutable.joinToken ??= createToken();
  if (mayCrash && shape.troubles.has("crash") && happens(random, 0.15)) {
    deviceMutable.power.stepsLeft = 1 + random.nextBelow(8);
  }
  const { hub, run } = simulation;
  // Who is in already does not use a code up by showing it.
  const isNew = (await hub.storage().readDevice(run, deviceMutable.id)) === null;
  let isIn = false;
  try {
    isIn = await joinWith(simulation, deviceMutable, code);
  } catch (cause) {
    const says = cause instanceof Error ? cause.message : String(cause);
    note(simulation, "join-failed", `${deviceMutable.name} ${says}`);
  }
  await lookForCrash(simulation, deviceMutable);
  if (isIn && isNew && happens(random, 0.2)) await tryStaleCodes(simulation, code);
}

async function joinWith(
  simulation: Simulation,
  deviceMutable: SimulatedDevice,
  code: string,
): Promise<boolean> {
  const { database, joinToken, name } = deviceMutable;
  const self = await readDevice(database);
  const joining = await joiningOf(code, self, joinToken ?? "");
  const answer = await askJoin(openDoor(simulation), joining);
  await storeJoinedRun(database, answer, joining.token, deviceMutable.readWallMs());
  if (!deviceMutable.power.isOn) return false;
  deviceMutable.hasRun = true;
  simulation.struckOff.delete(name);
  note(simulation, "join", name);
  return true;
}

// A code that was used, and one that has expired, let a stranger in no more.
async function tryStaleCodes(simulation: Simulation, used: string): Promise<void> {
  await tryCode(simulation, used, "code-used");
  const late = await askCode(simulation, { role: "observer", lane: null });
  if (late === null) return;
  simulation.clock.pass(invitationMs + 1);
  await tryCode(simulation, late, "code-expired");
}

async function tryCode(simulation: Simulation, code: string, wanted: string): Promise<void> {
  const stranger = { ...(await fixedKey(8)), key: "self", name: "stranger" } as const;
  const joining = await joiningOf(code, stranger, createToken());
  const came = await askJoin(openDoor(simulation), joining).then(
    () => "let in",
    (cause: unknown) => (cause instanceof HubRefusedError ? cause.refusal.code : String(cause)),
  );
  note(simulation, "stale-code", came);
  // A hub that was put back does not know the code at all; one whose disk is full takes nobody.
  if ([wanted, "code-unknown", "storage-failed", "rate-limited"].includes(came)) return;
  simulation.faults.push(`a ${wanted} code lets nobody in: ${came}`);
}

/** Whether the hub no longer knows the device, which so must be let in again. */
export async function isLockedOut(
  { run }: Simulation,
  { database, hasRun }: SimulatedDevice,
): Promise<boolean> {
  return hasRun && (await readLink(database, run)).refused?.code === "token-wrong";
}

function hasDisk({ disk }: SimulatedDevice): boolean {
  return (
    disk.roomForWrites === null && disk.writesUntilLost === null && disk.commitsUntilLost === null
  );
}

/** A line to the hub that nothing befalls. */
export function openDoor({ hub }: Simulation): HubDoor {
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

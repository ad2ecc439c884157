// A device's sync over the simulated network, request by request.

import { assert } from "../../machines/base/assert.ts";
import { checkTraffic } from "./checkers/traffic.ts";
import { lookForCrash } from "./look-for-crash.ts";
import type { Message } from "./network.ts";
import { restart } from "./simulated-device.ts";
import type { SimulatedDevice } from "./simulated-device.ts";
import { note } from "./simulation.ts";
import type { Simulation } from "./simulation.ts";

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
  note(simulation, "reached", `${nameOfRequest(message)} ${message.answer?.status ?? "nobody"}`);
  if (message.answer !== null) {
    simulation.faults.push(...(await checkTraffic(simulation, device, message, message.answer)));
  }
  if (message.answer === null) {
    await goOn(simulation, device, () => network.settle(message, "cut"));
  }
}

/** Two messages reach the hub at once, maybe by two servers. */
export async function reachHubTogether(
  simulation: Simulation,
  [first, second]: readonly [Message, Message],
): Promise<void> {
  note(simulation, "together", `${nameOfRequest(first)} ${nameOfRequest(second)}`);
  await Promise.all([reachHub(simulation, first), reachHub(simulation, second)]);
}

/** Two messages that may reach the hub at once; null: there are none. */
export function messagesTogether({ network, hub }: Simulation): [Message, Message] | null {
  // Not packed: packing takes as long as it takes, and the seed would not say who comes first.
  const waiting = network.messages.filter(({ answer, headers }) => {
    return answer === null && headers["content-encoding"] === undefined;
  });
  const [first, second] = waiting;
  return first === undefined || second === undefined || !hub.isUp() ? null : [first, second];
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
  note(simulation, what, nameOfRequest(message));
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

/** The device of that name. */
export function deviceOf({ devices }: Simulation, name: string): SimulatedDevice {
  return devices.find((device) => device.name === name) as SimulatedDevice;
}

/** A request in short: without the query, which holds the epoch of a real storage. */
export function nameOfRequest({
  device,
  method,
  path,
}: Pick<Message, "device" | "method" | "path">): string {
  return `${device} ${method} ${path.split("?")[0]}`;
}

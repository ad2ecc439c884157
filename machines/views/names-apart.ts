// Devices of one name told apart, wherever their names are read.
//
// [names-apart 1] A name that one device alone has stays as it is; of those that share one, each is
//   followed by its own check letters.
// [names-apart 2] Names that differ only in capitals or in spaces around them count as one.

import type { DeviceId } from "../record/ids.ts";
import type { DeviceInRun, RunState } from "../record/run-state.ts";

/**
 * The state with names by which every device is known from every other.
 *
 * @param lettersOf the check letters of a device: "KLMN-PQRS"
 * Errors: none.
 */
export function withNamesApart(state: RunState, lettersOf: (device: DeviceId) => string): RunState {
  const devices = Object.entries(state.devices) as [DeviceId, DeviceInRun][];
  const counts = new Map<string, number>();
  for (const [, { name }] of devices) counts.set(plain(name), (counts.get(plain(name)) ?? 0) + 1);
  if (counts.size === devices.length) return state;
  const named = devices.map(([device, inRun]) => {
    const shared = (counts.get(plain(inRun.name)) ?? 0) > 1;
    const name = shared ? `${inRun.name} · ${lettersOf(device)}` : inRun.name;
    return [device, { ...inRun, name }] as const;
  });
  return { ...state, devices: Object.fromEntries(named) as RunState["devices"] };
}

function plain(name: string): string {
  return name.trim().toLowerCase();
}

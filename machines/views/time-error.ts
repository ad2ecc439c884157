// How good the times of a record are, in words.
//
// [time-error 1] The error shown is the greatest of the entries it stands for, rounded up; it is
//   never shown for a clock that was not checked against the hub's.

import type { DeviceId } from "../record/ids.ts";
import type { LogLine, RunState } from "../record/run-state.ts";
import { deviceName } from "./entry-words.ts";

/** Of each device that has entries: the greatest error of its times; null: it was never checked. */
export function timeErrors(log: readonly LogLine[]): ReadonlyMap<DeviceId, number | null> {
  const errors = new Map<DeviceId, number | null>();
  for (const { by, errorMs } of log) {
    const known = errors.get(by.device);
    if (known === null) continue;
    errors.set(by.device, errorMs === null ? null : Math.max(known ?? 0, errorMs));
  }
  return errors;
}

/** What a device's times are worth: "times good to 40 ms". */
export function timeErrorWords(errorMs: number | null): string {
  if (errorMs === null) return "clock never checked against the hub";
  return `times good to ${errorText(errorMs)}`;
}

/** What the times of a whole record are worth, device by device where a clock was never checked. */
export function recordTimeWords(state: RunState): string {
  const errors = [...timeErrors(state.log)];
  const checked = errors.flatMap(([, errorMs]) => (errorMs === null ? [] : [errorMs]));
  const names = errors
    .flatMap(([device, errorMs]) => (errorMs === null ? [deviceName(state, device)] : []))
    .toSorted();
  if (errors.length === 0) return "There are no times yet.";
  if (checked.length === 0) {
    return "No clock was ever checked against a hub: times are those of the device that opened the run.";
  }
  const sentence = `Times are good to ${errorText(Math.max(...checked))}`;
  if (names.length === 0) return `${sentence}.`;
  return `${sentence}; clock never checked: ${names.join(", ")}.`;
}

// Milliseconds up to a second, then seconds, then whole minutes; always rounded up.
function errorText(errorMs: number): string {
  if (errorMs < 1_000) return `${Math.ceil(errorMs)} ms`;
  if (errorMs < 120_000) return `${(Math.ceil(errorMs / 100) / 10).toString()} s`;
  return `${Math.ceil(errorMs / 60_000)} min`;
}

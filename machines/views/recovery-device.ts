// The spare director's key of a run, which is in the list of devices though no tablet has it.

import type { Entry } from "../record/entry.ts";
import { rootOfRun } from "../record/ids.ts";
import type { DeviceId } from "../record/ids.ts";

/** The device that a recovery code opens; null: none was made, or the run's opening is not here. Errors: none. */
export function recoveryDeviceOf(entries: readonly Entry[]): DeviceId | null {
  for (const { run, device, seq, body } of entries) {
    if (body.kind === "run.opened" && seq === 1 && device === rootOfRun(run)) {
      return body.recovery?.device ?? null;
    }
  }
  return null;
}

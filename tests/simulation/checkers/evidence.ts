// Only what a liar wrote, or what forked because a tablet was put back to an older copy of its disk, is set
// aside: on devices and at the hub. And of the lies none is lost: what the hub refused for good is there.

import type { DeviceId } from "../../../machines/record/ids.ts";
import type { Leftovers } from "./leftovers.ts";

/** What was set aside and should not have been. */
export function checkEvidence(left: Leftovers): readonly string[] {
  const faults: string[] = [];
  const mayFork = new Set<DeviceId>(
    left.devices.flatMap(({ id, wasPutBack }) => (wasPutBack ? [id] : [])),
  );
  if (left.liar !== null) mayFork.add(left.liar);
  for (const { name, setAside } of left.devices) {
    for (const { device, seq, reason } of setAside) {
      if (mayFork.has(device)) continue;
      faults.push(`what is honest is not set aside: ${name} has ${reason} ${device}:${seq}`);
    }
  }
  for (const { device, fromSeq, code } of left.setAsideAtHub) {
    // In the name of another, by the liar.
    if (mayFork.has(device) || (left.liar !== null && code === "signature")) continue;
    faults.push(`what is honest is not set aside at the hub: ${code} ${device}:${fromSeq}`);
  }
  return faults;
}

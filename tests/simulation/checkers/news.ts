// What a device tells, it tells once: each entry tells of others only what is new, and a director lets a
// device in once.

import type { Entry } from "../../../machines/record/entry.ts";
import type { DeviceId } from "../../../machines/record/ids.ts";
import type { Leftovers } from "./leftovers.ts";

/** What was told again. */
export function checkNews({ devices, liar }: Leftovers): readonly string[] {
  const honest = devices.filter(({ wasPutBack, id }) => !wasPutBack && id !== liar);
  const entries = devices[0]?.entries ?? [];
  return honest.flatMap(({ id }) => {
    const chain = entries.filter(({ device }) => device === id).toSorted((a, b) => a.seq - b.seq);
    return [...seenAgain(chain), ...letInAgain(chain)];
  });
}

function seenAgain(chain: readonly Entry[]): readonly string[] {
  const told = new Map<string, number>();
  return chain.flatMap((entry) =>
    Object.entries(entry.seen).flatMap(([device, seq]) => {
      const before = told.get(device) ?? 0;
      told.set(device, seq);
      if (seq > before) return [];
      return [`only news is told as seen: ${entry.device}:${entry.seq} tells ${device}:${seq}`];
    }),
  );
}

function letInAgain(chain: readonly Entry[]): readonly string[] {
  const isIn = new Set<DeviceId>();
  return chain.flatMap(({ device, seq, body }) => {
    if (body.kind === "device.struck-off") isIn.delete(body.struckOff);
    if (body.kind !== "device.joined") return [];
    if (!isIn.has(body.joined)) {
      isIn.add(body.joined);
      return [];
    }
    return [`a device is let in once: ${device}:${seq} lets ${body.joined} in again`];
  });
}

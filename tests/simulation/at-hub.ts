// Everything that the hub lists of the run, read past its routes.

import type { Entry } from "../../machines/record/entry.ts";
import { readSegment } from "../../machines/sync/segment.ts";
import { sha256Hex } from "../../workers/keys/sha-256.ts";
import type { Simulation } from "./simulation.ts";

/** Every entry that the hub lists. Errors: those of the storage. */
export async function entriesAtHub({ hub, run }: Simulation): Promise<readonly Entry[]> {
  const { listed } = await hub.storage().readListed(run, 0, 1_000_000);
  return listed.flatMap((one) => {
    if (one.what !== "segment") return [];
    return readSegment(JSON.parse(one.text), "", sha256Hex).segment?.entries ?? [];
  });
}

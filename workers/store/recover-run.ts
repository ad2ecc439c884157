// Making this device a director's by the recovery code, where every director's device is lost.
//
// [recover-run 1] The letter that lets this device in is written and signed by the recovery key, which the
//   run's first entry names: so every replica believes it as it believes a director's.
// [recover-run 2] A wrong code changes nothing.

import { entryDigest } from "../../machines/record/digest-entry.ts";
import { rootOfRun } from "../../machines/record/ids.ts";
import type { RunId } from "../../machines/record/ids.ts";
import { openRecovery } from "../keys/recovery-key.ts";
import { sha256Hex } from "../keys/sha-256.ts";
import { signHead } from "../keys/sign-head.ts";
import { appendWithin } from "./append-entry.ts";
import type { Database } from "./database.ts";
import { entriesOfKind } from "./read-run.ts";
import { readDevice } from "./this-device.ts";
import { writeDurably } from "./write-durably.ts";

/** What came of it; `not-here`: the run's first entry has not come to this device yet, or names no recovery. */
export type Recovered = "recovered" | "code-wrong" | "not-here";

/**
 * Writes and signs, by the recovery key, that this device is a director's.
 *
 * @param code as somebody typed it
 * @param wallMs this device's clock, milliseconds since 1970
 * Errors: those of `writeDurably`, and `KeyFailedError`.
 */
export async function recoverRun(
  database: Database,
  run: RunId,
  code: string,
  wallMs: number,
): Promise<Recovered> {
  const openings = await entriesOfKind(database, run, "run.opened");
  const opening = openings.find(({ device, seq }) => seq === 1 && device === rootOfRun(run));
  if (opening === undefined || opening.body.recovery === null) return "not-here";
  const key = await openRecovery(code, opening.body.recovery);
  if (key === null) return "code-wrong";
  const { device, name } = await readDevice(database);
  const body = {
    kind: "device.joined",
    joined: device,
    role: "director",
    lane: null,
    deviceName: name,
  } as const;
  const { entries, heads } = database;
  const entry = await writeDurably(database, [entries, heads], () =>
    appendWithin(database, { run, device: key.device, position: null, body, wallMs }),
  );
  const head = await signHead(key, { run, seq: entry.seq, digest: entryDigest(entry, sha256Hex) });
  await writeDurably(database, [database.signedHeads], () => database.signedHeads.put(head));
  return "recovered";
}

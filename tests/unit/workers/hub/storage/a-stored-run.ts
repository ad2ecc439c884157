// A run in a storage, for the suites that every storage must pass.

import { readSegment } from "../../../../../machines/sync/segment.ts";
import type { Identity, PositionId } from "../../../../../machines/procedure/ids.ts";
import type { Entry } from "../../../../../machines/record/entry.ts";
import type { DeviceId, RunId } from "../../../../../machines/record/ids.ts";
import type {
  Invitation,
  Joining,
  Listed,
  RecordStorage,
  RunOpening,
  StoredProcedure,
} from "../../../../../workers/hub/storage/record-storage.ts";
import { sha256Hex } from "../../../../../workers/keys/sha-256.ts";

export const run = "run-1" as RunId;
export const director = "director-1" as DeviceId;
export const tablet = "tablet-1" as DeviceId;
export const procedure: StoredProcedure = {
  identity: "a".repeat(64) as Identity,
  id: "p1",
  title: "Procedure one",
  revision: "A",
  summary: "",
  text: '{"id":"p1"}',
};
export const opening: RunOpening = {
  run,
  title: "Monday",
  procedure: procedure.identity,
  device: director,
  deviceName: "Desk",
  tokenDigest: "digest of the director's token",
  recovery: { device: "spare-1" as DeviceId, codeDigest: "digest of the recovery code" },
  nowMs: 1_000,
};
export const invitation: Invitation = {
  codeDigest: "digest of the code",
  run,
  role: "crew",
  lane: "ev1" as PositionId,
  expiresAtMs: 5_000,
};
export const joining: Joining = {
  codeDigest: invitation.codeDigest,
  device: tablet,
  deviceName: "Tablet",
  tokenDigest: "digest of the tablet's token",
  nowMs: 2_000,
};

/** Puts the run into an empty storage: opened by the director, the tablet let in. */
export async function putRun(storage: RecordStorage): Promise<void> {
  await storage.putProcedure(procedure);
  await storage.openRun(opening);
  await storage.invite(invitation);
  await storage.join(joining);
}

/** A storage with that run. */
export async function withRun(storage: Promise<RecordStorage>): Promise<RecordStorage> {
  await putRun(await storage);
  return await storage;
}

/** The entries of what is listed, in order, each with its place. */
export function entriesOf(listed: readonly Listed[]): readonly (readonly [number, Entry])[] {
  return listed.flatMap((one) => {
    if (one.what === "unveiled") {
      return one.texts.map((text) => [one.place, JSON.parse(text) as Entry] as const);
    }
    const { segment, faults } = readSegment(JSON.parse(one.text) as unknown, "", sha256Hex);
    if (segment === null) throw new Error(JSON.stringify(faults));
    return segment.entries.map((entry) => [one.place, entry] as const);
  });
}

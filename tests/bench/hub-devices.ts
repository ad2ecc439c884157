// Devices that push to a hub, for the benches: keys, tokens and signed segments, made before the timing.

import type { Identity } from "../../machines/procedure/ids.ts";
import { entryText } from "../../machines/record/digest-entry.ts";
import type { Entry } from "../../machines/record/entry.ts";
import type { RunId } from "../../machines/record/ids.ts";
import { createSegment } from "../../machines/sync/segment.ts";
import type { RecordStorage } from "../../workers/hub/storage/record-storage.ts";
import { createDeviceKey } from "../../workers/keys/device-key.ts";
import type { DeviceKey } from "../../workers/keys/device-key.ts";
import { createToken } from "../../workers/keys/random-token.ts";
import { sha256Hex } from "../../workers/keys/sha-256.ts";
import { signHead } from "../../workers/keys/sign-head.ts";

/** A device of a run, with the bodies of its pushes. */
export type BenchDevice = {
  readonly run: RunId;
  readonly token: string;
  readonly bodies: readonly string[];
};

/** How much each device pushes. */
export type Load = { readonly pushes: number; readonly entriesPerPush: number };

/** Lets so many devices into a storage, `devicesPerRun` to a run, and makes what they will push. */
export async function makeDevices(
  storage: RecordStorage,
  { devices, devicesPerRun }: { readonly devices: number; readonly devicesPerRun: number },
  load: Load,
): Promise<readonly BenchDevice[]> {
  const procedure = "a".repeat(64) as Identity;
  const named = { id: "bench", title: "Bench", revision: "A", summary: "", text: "{}" };
  await storage.putProcedure({ identity: procedure, ...named });
  const made: BenchDevice[] = [];
  while (made.length < devices) {
    const keys = await Promise.all(Array.from({ length: devicesPerRun }, () => createDeviceKey()));
    const run = `${keys[0]?.device}.bench` as RunId;
    const tokens = keys.map(() => createToken());
    for (const [index, { device }] of keys.entries()) {
      const tokenDigest = sha256Hex(tokens[index] ?? "");
      const opening = { run, procedure, title: "Bench", recovery: null, deviceName: "Tablet" };
      if (index === 0) await storage.openRun({ ...opening, device, tokenDigest, nowMs: 1 });
      else await joinDirectly(storage, { run, device, tokenDigest });
    }
    const bodies = await Promise.all(keys.map((key) => bodiesOf(key, run, load)));
    for (const [index, own] of bodies.entries()) {
      made.push({ run, token: tokens[index] ?? "", bodies: own });
    }
  }
  return made;
}

type Joining = Pick<BenchDevice, "run"> & {
  readonly device: DeviceKey["device"];
  readonly tokenDigest: string;
};

async function joinDirectly(storage: RecordStorage, joining: Joining): Promise<void> {
  const { run, device } = joining;
  const codeDigest = `${run} ${device}`;
  await storage.invite({ codeDigest, run, role: "reader", lane: null, expiresAtMs: 10 });
  await storage.join({ ...joining, codeDigest, deviceName: "Tablet", nowMs: 1 });
}

async function bodiesOf(
  key: DeviceKey,
  run: RunId,
  { pushes, entriesPerPush }: Load,
): Promise<readonly string[]> {
  const bodies: string[] = [];
  let prev: string | null = null;
  let seq = 0;
  for (let push = 0; push < pushes; push += 1) {
    const entries: Entry[] = [];
    for (let index = 0; index < entriesPerPush; index += 1) {
      seq += 1;
      const entry = entryOf({ run, device: key.device, seq, prev });
      entries.push(entry);
      prev = sha256Hex(entryText(entry));
    }
    const head = await signHead(key, { run, seq, digest: prev ?? "" });
    bodies.push(JSON.stringify({ segments: [createSegment(entries, head)] }));
  }
  return bodies;
}

// Steps of a lane in turn: started, a gate of it, done; now and then a note.
function entryOf(place: Pick<Entry, "run" | "device" | "seq" | "prev">): Entry {
  const { seq } = place;
  const step = `step-${Math.floor(seq / 3) % 200}`;
  const body =
    seq % 20 === 0
      ? { kind: "note.added", text: `Note number ${seq}`, step: null, oddity: false }
      : seq % 3 === 0
        ? { kind: "step.started", step }
        : seq % 3 === 1
          ? { kind: "gate.acknowledged", step, gate: "hazard" }
          : { kind: "step.done", step };
  const wallMs = 1_700_000_000_000 + seq * 7_311;
  return { ...place, wallMs, seen: {}, position: "ev1", body } as unknown as Entry;
}

// POST /api/runs/:run/entries: a device sends segments, its own and those of others that it holds.
//
// [push-route 1] It answers after the commit, and says what the hub has now.
// [push-route 2] A request with a segment that is malformed or of another run is refused, and nothing of
//   it is kept. Stand-ins are not taken.
// [push-route 3] What bears no good signature of the device that it names is set aside.
// [push-route 4] What entries do at the hub goes by the role of who wrote them, not of who sends them.
// [push-route 5] A device that was struck off may send: what it holds is kept, and the record says what
//   counts of it.

import { canonicalJson } from "../../../machines/base/canonical-json.ts";
import type { Fault } from "../../../machines/procedure/fault.ts";
import { isObject, pointer } from "../../../machines/procedure/read-shape.ts";
import { isStandIn } from "../../../machines/record/chain-digest.ts";
import type { RunId } from "../../../machines/record/ids.ts";
import { pushEntriesMax, readPushRequest } from "../../../machines/sync/push.ts";
import type { PushAnswer, RefusedSegment } from "../../../machines/sync/push.ts";
import { createSegment, readSegment } from "../../../machines/sync/segment.ts";
import type { ReadSegment } from "../../../machines/sync/segment.ts";
import { sha256Hex } from "../../keys/sha-256.ts";
import { verifyHead } from "../../keys/verify-head.ts";
import { answerJson, refuse } from "../answer.ts";
import { authenticate } from "../authenticate.ts";
import { findEntryFacts } from "../entry-facts.ts";
import type { Hub, HubContext } from "../hub.ts";
import { malformed, readJsonBody } from "../read-body.ts";
import type { RefusedSegmentCode, StoredDevice } from "../storage/record-storage.ts";

/** Answers POST /api/runs/:run/entries. Errors: those of the storage. */
export async function answerPush(hub: Hub, c: HubContext): Promise<Response> {
  const sender = await authenticate(hub, c);
  if (sender instanceof Response) return sender;
  const { run } = sender;
  const body = await readJsonBody(c, readPushRequest);
  const receivedMs = hub.clock.nowMs();
  if (body instanceof Response) return body;
  const { segments, faults } = readSegments(body.value.segments, run);
  if (faults.length > 0) return refuse(c, malformed(faults));
  const areSigned = await Promise.all(segments.map(({ head }) => verifyHead(head)));
  const refused: RefusedSegment[] = [];
  let taken = 0;
  for (const [index, segment] of segments.entries()) {
    const asked = { hub, sender, receivedMs };
    const result = await takeSegment(asked, segment, areSigned[index] ?? false);
    if (result.refused !== null) refused.push(result.refused);
    taken += result.taken;
  }
  hub.metrics.countTaken(taken);
  if (taken > 0) hub.streams.tellEntries(run, await hub.storage.readHead(run));
  const answer: PushAnswer = {
    have: await hub.storage.readHave(run),
    refused,
    stamps: { receivedMs, answeredMs: hub.clock.nowMs() },
  };
  return answerJson(answer);
}

type Read = { readonly segments: readonly ReadSegment[]; readonly faults: readonly Fault[] };

function readSegments(values: readonly unknown[], run: RunId): Read {
  const entries = values.reduce<number>((sum, value) => sum + countEntries(value), 0);
  if (entries > pushEntriesMax) return { segments: [], faults: [tooMany(entries)] };
  const segments: ReadSegment[] = [];
  const faults: Fault[] = [];
  for (const [index, value] of values.entries()) {
    const path = pointer("/segments", String(index));
    const reading = readSegment(value, path, sha256Hex);
    faults.push(...reading.faults);
    if (reading.segment === null) continue;
    if (reading.segment.head.run !== run) faults.push({ path: `${path}/head/run`, ...otherRun });
    segments.push(reading.segment);
  }
  return { segments, faults };
}

// Before they are read, which takes far longer than counting.
function countEntries(value: unknown): number {
  if (!isObject(value) || !isObject(value["entries"])) return 0;
  const { bodies } = value["entries"];
  return Array.isArray(bodies) ? bodies.length : 0;
}

type Taken = { readonly taken: number; readonly refused: RefusedSegment | null };

type Asked = {
  readonly hub: Hub;
  readonly sender: StoredDevice;
  readonly receivedMs: number;
};

async function takeSegment(
  { hub, sender, receivedMs: nowMs }: Asked,
  segment: ReadSegment,
  isSigned: boolean,
): Promise<Taken> {
  const { head, fromSeq, prev, entries, digests } = segment;
  const { run, device, seq: toSeq } = head;
  if (!isSigned) return await refuseUnsigned(hub, segment, nowMs);
  const standIn = entries.find(isStandIn);
  if (standIn !== undefined) {
    return { taken: 0, refused: { device, seq: standIn.seq, code: "stand-in", says: standInSays } };
  }
  const isOwn = device === sender.device;
  const author = isOwn ? sender : await hub.storage.readDevice(run, device);
  const noted = await findEntryFacts(hub.storage, segment, author);
  const textFrom = (seq: number) => textOf(segment, seq);
  const incoming = { run, device, fromSeq, toSeq, prev, digests, textFrom, noted };
  const { taken, refused } = await hub.storage.takeSegment(incoming, nowMs);
  if (refused === null) return { taken, refused };
  const { seq, code } = refused;
  if (code !== "gap") noteSetAside(hub, segment, code);
  return { taken, refused: { device, seq, code, says: saysOf(code, seq) } };
}

async function refuseUnsigned(hub: Hub, segment: ReadSegment, nowMs: number): Promise<Taken> {
  const { head, fromSeq } = segment;
  const { run, device, seq: toSeq, digest } = head;
  const code = "signature";
  const text = textOf(segment, fromSeq);
  const report = { device, fromSeq, toSeq, code, receivedMs: nowMs } as const;
  await hub.storage.setAside({ ...report, run, digest, text });
  noteSetAside(hub, segment, code);
  return { taken: 0, refused: { device, seq: fromSeq, code, says: unsignedSays } };
}

function noteSetAside(hub: Hub, { head, fromSeq }: ReadSegment, code: string): void {
  const { run, device, seq: toSeq } = head;
  hub.metrics.countSetAside(code);
  hub.log("warn", "segment.set-aside", { run, device, fromSeq, toSeq, code });
}

function textOf({ head, fromSeq, entries }: ReadSegment, seq: number): string {
  return canonicalJson(createSegment(entries.slice(seq - fromSeq), head));
}

const standInSays = "It holds a stand-in; only the hub makes those.";
const unsignedSays =
  "Its head is not signed by the device that it names; the segment was set aside.";

function saysOf(code: RefusedSegmentCode, seq: number): string {
  const says: Readonly<Record<RefusedSegmentCode, string>> = {
    gap: `Entries of this device before number ${seq} have not reached the hub.`,
    fork: `The hub has another entry under number ${seq} of this device; this one was set aside.`,
    chain: `Entry ${seq} does not follow on the one before it at the hub; it was set aside.`,
  };
  return says[code];
}

const otherRun = {
  code: "other-run",
  says: "This segment is of another run than the one in the address.",
  mend: "Send it to its own run.",
};

function tooMany(entries: number): Fault {
  return {
    path: "/segments",
    code: "too-many",
    says: `These segments have ${entries} entries; at most ${pushEntriesMax} may come at once.`,
    mend: "Send them in several parts.",
  };
}

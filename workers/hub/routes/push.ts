// POST /api/runs/:run/entries: a device sends its entries.
//
// [push-route 1] It answers after the commit, and says what the hub has now.
// [push-route 2] A device sends only what it wrote itself, and never a stand-in.

import { pointer } from "../../../machines/procedure/read-shape.ts";
import type { Fault } from "../../../machines/procedure/fault.ts";
import type { DeviceId } from "../../../machines/record/ids.ts";
import { readPushRequest } from "../../../machines/sync/push.ts";
import type { PushAnswer, PushRequest } from "../../../machines/sync/push.ts";
import { answerJson, refuse } from "../answer.ts";
import { authenticate } from "../authenticate.ts";
import { findEntryFacts } from "../entry-facts.ts";
import type { Hub, HubContext } from "../hub.ts";
import { malformed, readJsonBody } from "../read-body.ts";
import type { RefusedEntryCode, StoredDevice, TakeResult } from "../storage/record-storage.ts";

/** Answers POST /api/runs/:run/entries. Errors: those of the storage. */
export async function answerPush(hub: Hub, c: HubContext): Promise<Response> {
  const author = await authenticate(hub, c);
  if (author instanceof Response) return author;
  const body = await readJsonBody(c, readPushRequest);
  const receivedMs = hub.clock.nowMs();
  if (body instanceof Response) return body;
  const faults = foreignFaults(body.value, author);
  if (faults.length > 0) return refuse(c, malformed(faults));
  const incoming = await findEntryFacts(hub.storage, body.value.entries, author);
  const { run, device } = author;
  const result = await hub.storage.takeEntries(incoming, { run, device, nowMs: receivedMs });
  await tellOf(hub, author, result);
  const have = await hub.storage.readHave(run);
  const answer: PushAnswer = {
    have,
    refused: refusedOf(result, have[device] ?? 0),
    stamps: { receivedMs, answeredMs: hub.clock.nowMs() },
  };
  return answerJson(answer);
}

function foreignFaults(
  { entries }: PushRequest,
  { run, device }: { readonly run: string; readonly device: DeviceId },
): readonly Fault[] {
  return entries.flatMap((entry, index) => {
    const path = pointer("/entries", String(index));
    if (entry.body.kind === "entry.withheld") {
      const says = "Only the hub makes stand-ins; no device sends one.";
      return [{ path: `${path}/body/kind`, code: "not-sendable", says, mend: "Leave it out." }];
    }
    if (entry.run === run && entry.device === device) return [];
    const says = "This entry is of another run or another device than the one that sends it.";
    return [{ path, code: "not-its-own", says, mend: "Let its own device send it." }];
  });
}

async function tellOf(hub: Hub, { run, device }: StoredDevice, result: TakeResult): Promise<void> {
  hub.metrics.countEntries(result);
  if (result.taken > 0)
    hub.streams.tell(run, "entries", { after: await hub.storage.readHead(run) });
  if (result.setAside === 0 || result.refused === null) return;
  const { seq, code } = result.refused;
  hub.log("warn", "entries.set-aside", { run, device, seq, code, count: result.setAside });
}

function refusedOf({ refused }: TakeResult, have: number): PushAnswer["refused"] {
  if (refused === null) return null;
  const { seq, code } = refused;
  const says: Readonly<Record<RefusedEntryCode, string>> = {
    gap: `Entries before number ${seq} have not reached the hub; it has them up to ${have}.`,
    fork: `The hub has another entry under number ${seq} of this device; this one was set aside.`,
    chain: `Entry ${seq} does not follow on the one before it at the hub; it was set aside.`,
  };
  return { seq, code, says: says[code] };
}

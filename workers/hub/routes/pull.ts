// GET /api/runs/:run/entries?epoch=E&after=C: a device fetches what it lacks.
// It keeps [pull 1] to [pull 5] of machines/sync/pull.ts; the storage lists again what closing brings out.
//
// [pull-route 1] Segments of which nothing is hidden go out as they are stored, without being read.

import type { RunId } from "../../../machines/record/ids.ts";
import { pullEntriesMax } from "../../../machines/sync/pull.ts";
import type { PullAnswer } from "../../../machines/sync/pull.ts";
import { hideEntries, readsStandIns } from "../../../machines/sync/redact-for-role.ts";
import type { EntryReader } from "../../../machines/sync/redact-for-role.ts";
import type { Segment } from "../../../machines/sync/segment.ts";
import { answerText, refuse } from "../answer.ts";
import { authenticateMember } from "../authenticate.ts";
import type { Hub, HubContext } from "../hub.ts";
import { malformed } from "../read-body.ts";
import type { Listed, RecordStorage } from "../storage/record-storage.ts";

/** Answers GET /api/runs/:run/entries. Errors: those of the storage. */
export async function answerPull(hub: Hub, c: HubContext): Promise<Response> {
  const receivedMs = hub.clock.nowMs();
  const reader = await authenticateMember(hub, c);
  if (reader instanceof Response) return reader;
  const { run, role } = reader;
  const asked = c.req.query("after") ?? "0";
  if (!/^\d{1,15}$/.test(asked)) return refuse(c, malformed([afterFault]));
  const { storage } = hub;
  const isKnown = c.req.query("epoch") === storage.epoch;
  const after = isKnown && Number(asked) <= (await storage.readHead(run)) ? Number(asked) : 0;
  const { listed, head } = await storage.readListed(run, after, pullEntriesMax);
  // Only now: read before the entries, it could turn what closing brought out into stand-ins for good.
  const isRunClosed = (await storage.readRun(run))?.isClosed ?? false;
  const next = listed.at(-1)?.place ?? after;
  const rest: Omit<PullAnswer, "segments" | "unveiled"> = {
    cursor: { epoch: storage.epoch, after: next },
    more: next < head,
    have: await storage.readHave(run),
    lastHeardMs: await storage.readLastHeardMs(run),
    ...(role === "director" ? await directorsPart(storage, run) : { admissions: [], setAside: [] }),
    stamps: { receivedMs, answeredMs: hub.clock.nowMs() },
  };
  const segments = listed.flatMap((one) => segmentText(one, { role, isRunClosed }));
  const unveiled = listed.flatMap((one) => (one.what === "unveiled" ? one.texts : []));
  const lists = `"segments":[${segments.join(",")}],"unveiled":[${unveiled.join(",")}]`;
  return answerText(`{${lists},${JSON.stringify(rest).slice(1)}`);
}

async function directorsPart(
  storage: RecordStorage,
  run: RunId,
): Promise<Pick<PullAnswer, "admissions" | "setAside">> {
  const admissions = await storage.readAdmissions(run);
  return { admissions, setAside: await storage.readSetAsideReports(run) };
}

function segmentText(one: Listed, reader: EntryReader): readonly string[] {
  if (one.what !== "segment") return [];
  if (one.hidden.length === 0 || !readsStandIns(reader)) return [one.text];
  // The text is the canonical one of a segment that was read when it came in.
  return [JSON.stringify(hideEntries(JSON.parse(one.text) as Segment, one.hidden))];
}

const afterFault = {
  path: "after",
  code: "wrong-type",
  says: "The cursor's place must be a whole number from 0.",
  mend: "Send the cursor that the hub gave, or none.",
};

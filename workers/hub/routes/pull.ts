// GET /api/runs/:run/entries?epoch=E&after=C: a device fetches what it lacks.
// It keeps [pull 1] to [pull 3] of machines/sync/pull.ts; the storage lists again what closing brings out.

import { pullEntriesMax } from "../../../machines/sync/pull.ts";
import type { PullAnswer } from "../../../machines/sync/pull.ts";
import { redactForRole } from "../../../machines/sync/redact-for-role.ts";
import { answerJson, refuse } from "../answer.ts";
import { authenticate } from "../authenticate.ts";
import type { Hub, HubContext } from "../hub.ts";
import { malformed } from "../read-body.ts";

/** Answers GET /api/runs/:run/entries. Errors: those of the storage. */
export async function answerPull(hub: Hub, c: HubContext): Promise<Response> {
  const receivedMs = hub.clock.nowMs();
  const reader = await authenticate(hub, c);
  if (reader instanceof Response) return reader;
  const { run, role } = reader;
  const asked = c.req.query("after") ?? "0";
  if (!/^\d{1,15}$/.test(asked)) return refuse(c, malformed([afterFault]));
  const { storage } = hub;
  const isKnown = c.req.query("epoch") === storage.epoch;
  const after = isKnown && Number(asked) <= (await storage.readHead(run)) ? Number(asked) : 0;
  const { listed, head } = await storage.readEntries(run, after, pullEntriesMax);
  // Only now: read before the entries, it could turn what closing brought out into stand-ins for good.
  const isRunClosed = (await storage.readRun(run))?.isClosed ?? false;
  const next = listed.at(-1)?.place ?? after;
  const answer: PullAnswer = {
    cursor: { epoch: storage.epoch, after: next },
    entries: listed.map((one) => redactForRole(one, { role, isRunClosed })),
    more: next < head,
    have: await storage.readHave(run),
    lastHeardMs: await storage.readLastHeardMs(run),
    admissions: role === "director" ? await storage.readAdmissions(run) : [],
    stamps: { receivedMs, answeredMs: hub.clock.nowMs() },
  };
  return answerJson(answer);
}

const afterFault = {
  path: "after",
  code: "wrong-type",
  says: "The cursor's place must be a whole number from 0.",
  mend: "Send the cursor that the hub gave, or none.",
};

// POST /api/runs: a device opens its run at the hub and is its first director.
//
// [open-route 1] Opening is answered again to the same device with the same token, title and procedure;
//   any other opening under that id is refused and changes nothing.

import { readOpenRequest } from "../../../machines/sync/open.ts";
import type { OpenAnswer } from "../../../machines/sync/open.ts";
import { sha256Hex } from "../../keys/sha-256.ts";
import { answerJson, refuse } from "../answer.ts";
import type { RefusalOf } from "../answer.ts";
import { limitAddress } from "../authenticate.ts";
import type { Hub, HubContext } from "../hub.ts";
import { readJsonBody } from "../read-body.ts";

/** Answers POST /api/runs. Errors: those of the storage. */
export async function answerOpen(hub: Hub, c: HubContext): Promise<Response> {
  const limited = limitAddress(hub, c);
  if (limited !== null) return limited;
  const body = await readJsonBody(c, readOpenRequest);
  if (body instanceof Response) return body;
  const { token, ...asked } = body.value;
  const outcome = await hub.storage.openRun({
    ...asked,
    tokenDigest: sha256Hex(token),
    nowMs: hub.clock.nowMs(),
  });
  if (outcome !== "opened") return refuse(c, refusals[outcome]);
  hub.log("info", "run.opened", { run: asked.run, device: asked.device });
  const answer: OpenAnswer = { run: asked.run };
  return answerJson(answer);
}

const refusals: Readonly<Record<"run-taken" | "procedure-unknown", RefusalOf>> = {
  "run-taken": {
    status: 409,
    code: "run-taken",
    says: "This hub has a run under this id that was opened otherwise.",
    mend: "Open a new run.",
  },
  "procedure-unknown": {
    status: 404,
    code: "procedure-unknown",
    says: "The hub does not have the procedure of this run yet.",
    mend: "Send the procedure first, then open the run.",
  },
};

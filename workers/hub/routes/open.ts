// POST /api/runs: a device opens its run at the hub and is its first director.
//
// [open-route 2] Only who has the key that the run's id names opens it.
// [open-route 1] Opening is answered again to the same device with the same token, title and procedure;
//   any other opening under that id is refused and changes nothing.

import { rootOfRun } from "../../../machines/record/ids.ts";
import { openingText, readOpenRequest } from "../../../machines/sync/open.ts";
import type { OpenAnswer } from "../../../machines/sync/open.ts";
import { sha256Hex } from "../../keys/sha-256.ts";
import { answerJson, refuse } from "../answer.ts";
import type { RefusalOf } from "../answer.ts";
import { isProven, limitAddress, proofWrong } from "../authenticate.ts";
import type { Hub, HubContext } from "../hub.ts";
import { readJsonBody } from "../read-body.ts";

/** Answers POST /api/runs. Errors: those of the storage. */
export async function answerOpen(hub: Hub, c: HubContext): Promise<Response> {
  const limited = limitAddress(hub, c);
  if (limited !== null) return limited;
  const body = await readJsonBody(c, readOpenRequest);
  if (body instanceof Response) return body;
  if (rootOfRun(body.value.run) !== body.value.device) return refuse(c, notItsRoot);
  if (!(await isProven(body.value, openingText(body.value)))) return refuse(c, proofWrong);
  const { token, key: _key, proof: _proof, ...asked } = body.value;
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

const notItsRoot: RefusalOf = {
  status: 403,
  code: "root-wrong",
  says: "The id of this run names another device than the one that opens it.",
  mend: "Open the run from the device that made it.",
};

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

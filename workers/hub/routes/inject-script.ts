// GET /api/runs/:run/inject-script: the off-nominal cases for a run's procedure.
//
// [inject-script-route 1] It goes to directors' devices only.

import { readInjectScript } from "../../../machines/procedure/read-inject-script.ts";
import type { StoredInjectScript } from "../../../machines/procedure/inject-script.ts";
import { assert } from "../../../machines/base/assert.ts";
import { answerJson, refuse } from "../answer.ts";
import { authenticateMember, roleWrong } from "../authenticate.ts";
import type { Hub, HubContext } from "../hub.ts";

/** Answers GET /api/runs/:run/inject-script. Errors: those of the storage. */
export async function answerInjectScript(hub: Hub, c: HubContext): Promise<Response> {
  const reader = await authenticateMember(hub, c);
  if (reader instanceof Response) return reader;
  if (reader.role !== "director") return refuse(c, roleWrong);
  const run = await hub.storage.readRun(reader.run);
  assert(run !== null, "the run of a device that was let in is kept");
  const stored = await hub.storage.readInjectScript(run.procedureId);
  if (stored === null) return refuse(c, { status: 404, ...scriptNone });
  const { script } = readInjectScript(stored.text);
  assert(script !== null, "an inject script that was taken reads without a fault");
  const answer: StoredInjectScript = { identity: stored.identity, script };
  return answerJson(answer);
}

const scriptNone = {
  code: "inject-script-none",
  says: "There is no inject script for the procedure of this run.",
  mend: "Run it without injects, or fire one by hand.",
};

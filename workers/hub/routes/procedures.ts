// The procedures at the hub: GET /api/procedures, GET and PUT /api/procedures/:identity.
//
// [procedures-route 1] A procedure is kept only if it reads without a fault and its identity is the one
//   it was sent under.

import { canonicalJson } from "../../../machines/base/canonical-json.ts";
import { procedureIdentity } from "../../../machines/procedure/identity.ts";
import type { Identity } from "../../../machines/procedure/ids.ts";
import type { Procedure } from "../../../machines/procedure/procedure.ts";
import { readProcedure } from "../../../machines/procedure/read-procedure.ts";
import type { ProceduresAnswer, ProcedureSummary } from "../../../machines/sync/procedures.ts";
import { sha256Hex } from "../../keys/sha-256.ts";
import { answerJson, refuse } from "../answer.ts";
import type { RefusalOf } from "../answer.ts";
import { limitAddress } from "../authenticate.ts";
import type { Hub, HubContext } from "../hub.ts";
import { readTextBody } from "../read-body.ts";
import type { StoredProcedure } from "../storage/record-storage.ts";

/** Answers GET /api/procedures. Errors: those of the storage. */
export async function answerProcedures(hub: Hub): Promise<Response> {
  const answer: ProceduresAnswer = { procedures: await hub.storage.listProcedures() };
  return answerJson(answer);
}

/** Answers GET /api/procedures/:identity. Errors: those of the storage. */
export async function answerProcedure(hub: Hub, c: HubContext): Promise<Response> {
  const text = await hub.storage.readProcedureText(c.req.param("identity") as Identity);
  if (text === null) return refuse(c, procedureUnknown);
  return new Response(text, {
    headers: {
      "content-type": "application/json; charset=utf-8",
      // What stands under an identity never changes.
      "cache-control": "private, max-age=31536000, immutable",
    },
  });
}

/** Answers PUT /api/procedures/:identity. Errors: those of the storage. */
export async function answerPutProcedure(hub: Hub, c: HubContext): Promise<Response> {
  const limited = limitAddress(hub, c);
  if (limited !== null) return limited;
  const text = await readTextBody(c);
  if (text instanceof Response) return text;
  const { procedure, faults } = readProcedure(text);
  if (procedure === null) return refuse(c, { ...procedureFaulty, faults });
  const stored = storedProcedure(procedure);
  if (stored.identity !== c.req.param("identity")) return refuse(c, identityWrong);
  await hub.storage.putProcedure(stored);
  hub.log("info", "procedure.taken", { identity: stored.identity });
  const { identity, id, title, revision, summary } = stored;
  const answer: ProcedureSummary = { identity, id, title, revision, summary };
  return answerJson(answer);
}

/** A procedure as the storage keeps it. */
export function storedProcedure(procedure: Procedure): StoredProcedure {
  const { id, title, revision, summary } = procedure;
  const identity = procedureIdentity(procedure, sha256Hex);
  return { identity, id, title, revision, summary, text: canonicalJson(procedure) };
}

const procedureUnknown: RefusalOf = {
  status: 404,
  code: "procedure-unknown",
  says: "This hub does not have that procedure.",
  mend: "Send it from a device that has it.",
};

const procedureFaulty: RefusalOf = {
  status: 400,
  code: "procedure-faulty",
  says: "This procedure has faults; nothing of it was kept.",
  mend: "Mend what is listed here, then send it again.",
};

const identityWrong: RefusalOf = {
  status: 409,
  code: "identity-wrong",
  says: "This is not the procedure under whose identity it was sent.",
  mend: "Send it under its own identity.",
};

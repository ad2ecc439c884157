// POST /api/runs/:run/invitations: a director's device makes a code that lets one device in.

import type { PositionId } from "../../../machines/procedure/ids.ts";
import { readProcedure } from "../../../machines/procedure/read-procedure.ts";
import type { Role } from "../../../machines/record/entry.ts";
import { readInviteRequest } from "../../../machines/sync/invite.ts";
import type { InviteAnswer, InviteRequest } from "../../../machines/sync/invite.ts";
import { createJoinCode, plainJoinCode } from "../../../machines/sync/join-code.ts";
import type { RunId } from "../../../machines/record/ids.ts";
import { assert } from "../../../machines/base/assert.ts";
import { sha256Hex } from "../../keys/sha-256.ts";
import { answerJson, refuse } from "../answer.ts";
import { authenticateMember, roleWrong } from "../authenticate.ts";
import type { Hub, HubContext } from "../hub.ts";
import { malformed, readJsonBody } from "../read-body.ts";

/** Answers POST /api/runs/:run/invitations. Errors: those of the storage. */
export async function answerInvite(hub: Hub, c: HubContext): Promise<Response> {
  const device = await authenticateMember(hub, c);
  if (device instanceof Response) return device;
  if (device.role !== "director") return refuse(c, roleWrong);
  const body = await readJsonBody(c, readInviteRequest);
  if (body instanceof Response) return body;
  const { role, lane } = body.value;
  const fault = laneFault(body.value, await lanesOf(hub, device.run));
  if (fault !== null) return refuse(c, malformed([fault]));
  const expiresAtMs = hub.clock.nowMs() + hub.invitationMs;
  const code = await inviteWithFreshCode(hub, { run: device.run, role, lane, expiresAtMs });
  hub.log("info", "device.invited", { run: device.run, role });
  const answer: InviteAnswer = { code, expiresAtMs };
  return answerJson(answer);
}

type InvitationWithoutCode = {
  readonly run: RunId;
  readonly role: Role;
  readonly lane: PositionId | null;
  readonly expiresAtMs: number;
};

// A code that is in use already comes up about never; but then it must not let two devices in.
async function inviteWithFreshCode(hub: Hub, invitation: InvitationWithoutCode): Promise<string> {
  for (let attempt = 1; attempt <= 5; attempt += 1) {
    const code = createJoinCode(hub.randomBelow);
    const codeDigest = sha256Hex(plainJoinCode(code));
    if (await hub.storage.invite({ ...invitation, codeDigest })) return code;
  }
  throw new Error("Five codes in a row were in use; the source of random numbers is broken.");
}

async function lanesOf(hub: Hub, run: RunId): Promise<ReadonlySet<PositionId>> {
  const identity = (await hub.storage.readRun(run))?.procedure;
  assert(identity !== undefined, "the run of a device that was let in is kept");
  const { procedure } = readProcedure((await hub.storage.readProcedureText(identity)) ?? "");
  assert(procedure !== null, "a procedure that was taken reads without a fault");
  return new Set(procedure.positions.map(({ id }) => id));
}

function laneFault({ role, lane }: InviteRequest, lanes: ReadonlySet<PositionId>) {
  if (lane !== null && !lanes.has(lane)) {
    const says = "The procedure of this run has no such position.";
    return {
      path: "/lane",
      code: "lane-unknown",
      says,
      mend: `Choose one of: ${[...lanes].join(", ")}.`,
    };
  }
  if (lane === null && role === "crew") {
    const says = "A crew device needs the position whose lane is its own.";
    return { path: "/lane", code: "lane-missing", says, mend: "Choose a position." };
  }
  if (lane !== null && (role === "director" || role === "observer")) {
    const says = "Neither a director nor an observer has a lane.";
    return { path: "/lane", code: "lane-not-for-role", says, mend: "Leave the position out." };
  }
  return null;
}

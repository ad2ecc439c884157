// Who may write what.
//
// Definition: the *author* is the device that wrote an entry, with the role and the lane that it had
//   then. The entry's position says for whom, the author by whom.
// [rights 1] Rights are those of the author; the position gives none.
// [rights 2] Anyone, known or not, may call a real stop, acknowledge one, note its clock, and withdraw
//   its own entries.
// [rights 3] A director may write everything of a run, for every lane.
// [rights 4] A reader may write what becomes of steps and gates of every lane, raise and acknowledge
//   holds on everything, release holds that its own device raised, note, sight, check, respond to an
//   inject, and pass on a call to terminate.
// [rights 5] Crew may do so for the steps and gates of their own lane, hold their own lane, and call
//   terminate; a read-back they confirm for another lane only, never for their own.
// [rights 6] Support may do so for their own lane, where they have one; they note, sight items and ask
//   for a hold, and raise none.
// [rights 7] An observer may write nothing but what anyone may.
// Common practice and the design's own table; no outside source.

import type { PositionId, StepId } from "../procedure/ids.ts";
import type { ProcedureIndex } from "../procedure/procedure-index.ts";
import type { EntryBody, Role } from "./entry.ts";
import { holdRaisedBy } from "./hold-id.ts";
import type { DeviceId } from "./ids.ts";

/** Who wrote an entry. `role` null: a device that no director has let in. */
export type Author = {
  readonly device: DeviceId;
  readonly role: Role | null;
  /** The position whose lane is the device's own. */
  readonly lane: PositionId | null;
};

/**
 * Whether the author may write the body for the position.
 *
 * Errors: none; of steps, gates and holds that do not exist only a director and a reader may write.
 */
export function mayWrite(
  author: Author,
  position: PositionId | null,
  body: EntryBody,
  index: ProcedureIndex,
): boolean {
  if (mayAnyoneWrite(author, body)) return true;
  switch (author.role) {
    case "director":
      return true;
    case "reader":
      return mayReaderWrite(author, body);
    case "crew":
      return mayCrewWrite(author, position, body, index);
    case "support":
      return maySupportWrite(author, position, body, index);
    case "observer":
    case null:
      return false;
  }
}

function mayAnyoneWrite(author: Author, body: EntryBody): boolean {
  switch (body.kind) {
    case "run.real-stop-called":
    case "run.real-stop-acknowledged":
    case "clock.sampled":
    case "clock.jumped":
    case "entry.withheld":
      return true;
    case "entry.withdrawn":
      return body.withdrawn.device === author.device;
    default:
      return false;
  }
}

function mayReaderWrite(author: Author, body: EntryBody): boolean {
  switch (body.kind) {
    case "hold.released":
      return holdRaisedBy(body.hold)?.device === author.device;
    case "hold.raised":
    case "hold.acknowledged":
    case "hold.requested":
    case "inject.responded":
    case "run.terminated":
    case "check.recorded":
    case "item.sighted":
    case "note.added":
      return true;
    default:
      return isOfStepOrGate(body);
  }
}

function mayCrewWrite(
  author: Author,
  position: PositionId | null,
  body: EntryBody,
  index: ProcedureIndex,
): boolean {
  switch (body.kind) {
    case "hold.raised":
      return body.scope.covers === "lane" && isOwn(author, body.scope.lane);
    case "run.terminated":
      return true;
    default:
      return mayLaneWrite(author, position, body, index);
  }
}

function maySupportWrite(
  author: Author,
  position: PositionId | null,
  body: EntryBody,
  index: ProcedureIndex,
): boolean {
  return body.kind === "item.sighted" || mayLaneWrite(author, position, body, index);
}

// What crew and support have in common.
function mayLaneWrite(
  author: Author,
  position: PositionId | null,
  body: EntryBody,
  index: ProcedureIndex,
): boolean {
  switch (body.kind) {
    case "hold.acknowledged":
      return isOwn(author, body.lane);
    case "hold.requested":
    case "inject.responded":
      return true;
    case "check.recorded":
    case "note.added":
      return position === null || isOwn(author, position);
    case "gate.readback-confirmed":
      return author.lane !== null && isOfOtherLane(author, body.step, index);
    case "gate.go-given":
      return isGoFromOwn(author, body, index);
    default:
      return isOfStepOrGate(body) && isOwn(author, index.stepsById.get(body.step)?.lane);
  }
}

type StepOrGateBody = Extract<EntryBody, { readonly kind: `step.${string}` | `gate.${string}` }>;
type BranchBody = Extract<EntryBody, { readonly kind: "branch.chosen" }>;

function isOfStepOrGate(body: EntryBody): body is StepOrGateBody | BranchBody {
  return /^(step|gate|branch)\./.test(body.kind);
}

function isOwn(author: Author, lane: PositionId | undefined): boolean {
  return lane !== undefined && author.lane === lane;
}

function isOfOtherLane(author: Author, stepId: StepId, index: ProcedureIndex): boolean {
  const step = index.stepsById.get(stepId);
  return step !== undefined && step.lane !== author.lane;
}

function isGoFromOwn(
  author: Author,
  body: Extract<EntryBody, { readonly kind: "gate.go-given" }>,
  index: ProcedureIndex,
): boolean {
  const gate = index.gatesByStep.get(body.step)?.find(({ id }) => id === body.gate);
  return gate?.sort === "go" && isOwn(author, gate.from);
}

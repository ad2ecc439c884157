// Who may write what.
//
// Definition: the *author* is the device that wrote an entry, with the role and the lane that it
//   had then. The entry's position says for whom, the author by whom.
// [rights 1] Rights are those of the author; the position gives none.
// [rights 2] Anyone, known or not, may call a real stop, acknowledge one, note its clock, and
//   withdraw its own entries.
// [rights 3] A director may write everything of a run, for every lane.
// [rights 4] A reader may write what becomes of steps and gates of every lane, raise and
//   acknowledge holds on everything, release holds that its own device raised, note, sight, check,
//   respond to an inject, and pass on a call to terminate.
// [rights 5] Crew may do so for the steps and gates of their own lane, hold their own lane, and
//   call terminate; a read-back they confirm for another lane only, never for their own.
// [rights 6] Support may do so for their own lane, where they have one; they note, sight items and
//   ask for a hold, and raise none.
// [rights 7] An observer may write nothing but what anyone may.
// Common practice and the design's own table; no outside source.

import type { PositionId, StepId } from "../procedure/ids.ts";
import type { ProcedureIndex } from "../procedure/procedure-index.ts";
import type { EntryBody, EntryKind, Role } from "./entry.ts";
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
  if (author.role === "director") return true;
  // The table's type holds each kind's rights to that kind's body.
  const rights = rightsByKind[body.kind] as Rights<EntryKind>;
  const right = rights.anyone ?? (author.role === null ? undefined : rights[author.role]);
  return right !== undefined && right({ author, position, index }, body);
}

type Asked = {
  readonly author: Author;
  readonly position: PositionId | null;
  readonly index: ProcedureIndex;
};

type Right<Kind extends EntryKind> = (
  asked: Asked,
  body: Extract<EntryBody, { readonly kind: Kind }>,
) => boolean;

// Who besides a director may write a kind of entry, and when. Left out: never.
type Rights<Kind extends EntryKind> = {
  readonly anyone?: Right<Kind>;
  readonly reader?: Right<Kind>;
  readonly crew?: Right<Kind>;
  readonly support?: Right<Kind>;
  readonly observer?: never;
};

const always = (): boolean => true;

const forOwnPosition = ({ author, position }: Asked): boolean =>
  position === null || isOwn(author, position);

const ofOwnStep = ({ author, index }: Asked, { step }: { readonly step: StepId }): boolean =>
  isOwn(author, index.stepsById.get(step)?.lane);

const ofOtherStep = ({ author, index }: Asked, { step }: { readonly step: StepId }): boolean => {
  const lane = index.stepsById.get(step)?.lane;
  return author.lane !== null && lane !== undefined && lane !== author.lane;
};

const fromOwnLane: Right<"gate.go-given"> = ({ author, index }, body) => {
  const gate = index.gatesByStep.get(body.step)?.find(({ id }) => id === body.gate);
  return gate?.sort === "go" && isOwn(author, gate.from);
};

const onOwnLane: Right<"hold.raised"> = ({ author }, { scope }) =>
  scope.covers === "lane" && isOwn(author, scope.lane);

const forOwnLane: Right<"hold.acknowledged"> = ({ author }, { lane }) => isOwn(author, lane);

const raisedByOwnDevice: Right<"hold.released"> = ({ author }, { hold }) =>
  holdRaisedBy(hold)?.device === author.device;

const writtenByOwnDevice: Right<"entry.withdrawn"> = ({ author }, { withdrawn }) =>
  withdrawn.device === author.device;

const ownLanesStep = { reader: always, crew: ofOwnStep, support: ofOwnStep };
const ownPositions = { reader: always, crew: forOwnPosition, support: forOwnPosition };
const allButObservers = { reader: always, crew: always, support: always };

const rightsByKind: { readonly [Kind in EntryKind]: Rights<Kind> } = {
  "run.opened": {},
  "run.started": {},
  "run.terminated": { reader: always, crew: always },
  "run.aborted": {},
  "run.real-stop-called": { anyone: always },
  "run.real-stop-acknowledged": { anyone: always },
  "run.resumed": {},
  "run.closing-started": {},
  "run.closed": {},
  "device.joined": {},
  "device.struck-off": {},
  "step.started": ownLanesStep,
  "step.done": ownLanesStep,
  "step.partly-done": ownLanesStep,
  "step.deferred": ownLanesStep,
  "step.not-performed": ownLanesStep,
  "branch.chosen": ownLanesStep,
  "gate.acknowledged": ownLanesStep,
  "gate.readback-confirmed": { reader: always, crew: ofOtherStep, support: ofOtherStep },
  "gate.go-given": { reader: always, crew: fromOwnLane, support: fromOwnLane },
  "gate.count-reported": ownLanesStep,
  "gate.reading-reported": ownLanesStep,
  "gate.overridden": ownLanesStep,
  "hold.raised": { reader: always, crew: onOwnLane },
  "hold.acknowledged": { reader: always, crew: forOwnLane, support: forOwnLane },
  "hold.released": { reader: raisedByOwnDevice },
  "hold.requested": allButObservers,
  "inject.armed": {},
  "inject.fired": {},
  "inject.responded": allButObservers,
  "inject.graded": {},
  "inject.cleared": {},
  "check.recorded": ownPositions,
  "item.sighted": { reader: always, support: always },
  "note.added": ownPositions,
  "entry.withdrawn": { anyone: writtenByOwnDevice },
  "clock.sampled": { anyone: always },
  "clock.jumped": { anyone: always },
  "entry.withheld": { anyone: always },
};

function isOwn(author: Author, lane: PositionId | undefined): boolean {
  return lane !== undefined && author.lane === lane;
}

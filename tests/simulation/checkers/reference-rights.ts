// Who may write what, spelled out once more, slowly: the table of the design, not the product's code.

import type { PositionId } from "../../../machines/procedure/ids.ts";
import type { ProcedureIndex } from "../../../machines/procedure/procedure-index.ts";
import type { Entry, Role } from "../../../machines/record/entry.ts";
import type { DeviceId } from "../../../machines/record/ids.ts";
import { orderEntries } from "../../../machines/record/order-entries.ts";
import type { Leftovers } from "./leftovers.ts";

/** What a device was when it wrote an entry. */
export type ReferenceAuthor = {
  readonly id: DeviceId;
  /** Null: nobody had let it in, or it was struck off. */
  readonly role: Role | null;
  readonly lane: PositionId | null;
};

/**
 * Who wrote an entry. In a simulation directors' devices are never struck off, and nobody else's letters
 * count.
 */
export function authorOf(left: Leftovers, entry: Entry): ReferenceAuthor {
  const known = authorsByLeftovers.get(left) ?? findAuthors(left);
  authorsByLeftovers.set(left, known);
  const author = known.get(`${entry.device}:${entry.seq}`);
  if (author === undefined) throw new Error("An entry of the record has an author.");
  return author;
}

/** Whether the entry is within the rights of the device that wrote it. */
export function isWithinRights(left: Leftovers, entry: Entry): boolean {
  const author = authorOf(left, entry);
  const { kind } = entry.body;
  if (kind === "run.real-stop-called" || kind === "run.real-stop-acknowledged") return true;
  if (kind.startsWith("clock.") || kind === "entry.withheld") return true;
  if (author.role === "director") return true;
  if (kind === "entry.withdrawn") return entry.body.withdrawn.device === entry.device;
  if (author.role === "reader") return mayReader(author, entry);
  if (author.role === "crew") return mayCrew(author, entry, left.index);
  return false;
}

type Letter = ReferenceAuthor & { readonly by: DeviceId; readonly place: number };

const authorsByLeftovers = new WeakMap<Leftovers, ReadonlyMap<string, ReferenceAuthor>>();

function findAuthors(left: Leftovers): ReadonlyMap<string, ReferenceAuthor> {
  const ordered = orderEntries(left.devices[0]?.entries ?? []).ordered.map(({ entry }) => entry);
  const letters = ordered.flatMap(({ device, body }, place): readonly Letter[] => {
    if (body.kind === "device.joined") {
      return [{ by: device, place, id: body.joined, role: body.role, lane: body.lane }];
    }
    if (body.kind !== "device.struck-off") return [];
    return [{ by: device, place, id: body.struckOff, role: null, lane: null }];
  });
  // First the root's letters count, then those of whom it made a director, and so on.
  const root = left.devices[0]?.id as DeviceId;
  const directors = new Set([root]);
  for (let before = 0; before < directors.size;) {
    before = directors.size;
    for (const { by, id, role } of letters) {
      if (directors.has(by) && role === "director") directors.add(id);
    }
  }
  const counting = letters.filter(({ by }) => directors.has(by));
  return new Map(
    ordered.map(({ device, seq }, place) => {
      const about = counting.filter(({ id }) => id === device);
      const letter = about.findLast((one) => one.place < place) ?? about[0];
      const role = device === root ? "director" : (letter?.role ?? null);
      const lane = letter?.lane ?? null;
      return [`${device}:${seq}`, { id: device, role, lane }];
    }),
  );
}

function mayReader(author: ReferenceAuthor, { body }: Entry): boolean {
  if (body.kind === "hold.released") return body.hold.startsWith(`${author.id}:`);
  if (/^(step|gate|hold|branch|note|check|item)\./.test(body.kind)) return true;
  return body.kind === "run.terminated" || body.kind === "inject.responded";
}

function mayCrew(
  author: ReferenceAuthor,
  { body, position }: Entry,
  index: ProcedureIndex,
): boolean {
  const { kind } = body;
  if (kind === "run.terminated" || kind === "hold.requested") return true;
  if (kind === "inject.responded") return true;
  if (kind === "note.added" || kind === "check.recorded") {
    return position === null || position === author.lane;
  }
  if (kind === "hold.raised") {
    return body.scope.covers === "lane" && body.scope.lane === author.lane;
  }
  if (kind === "hold.acknowledged") return body.lane === author.lane;
  if (!/^(step|gate|branch)\./.test(kind) || !("step" in body)) return false;
  const lane = index.procedure.steps.find(({ id }) => id === body.step)?.lane;
  if (kind === "gate.readback-confirmed") return lane !== author.lane;
  if (kind !== "gate.go-given") return lane === author.lane;
  const gate = index.gatesByStep.get(body.step)?.find(({ id }) => id === body.gate);
  return gate?.sort === "go" && gate.from === author.lane;
}

// Who is who in a run: the role of every device at every place of the order.
//
// Definition: a *letter* is a `device.joined` or a `device.struck-off`.
// [admit-devices 1] The run's root, the device that the run's id names, is a director from the
//   beginning; its first entry must open the run. So is the recovery key that this entry names.
// [admit-devices 2] A letter counts only if its author is a director at the letter's place.
// [admit-devices 3] At any place the last letter before it counts; before a device's first letter,
//   if that is a joining, the device has the role that it gives: who writes first and is let in
//   later loses nothing.
// [admit-devices 4] From a strike-off to the next joining a device has no role.

import type { PositionId } from "../procedure/ids.ts";
import type { Role } from "./entry.ts";
import { rootOfRun } from "./ids.ts";
import type { DeviceId } from "./ids.ts";
import type { OrderedEntry } from "./order-entries.ts";
import type { Author } from "./rights.ts";

/** What a device is from a place of the order on. */
export type Membership = {
  /** Index in the order of the letter that says so; -1: from the beginning. */
  readonly place: number;
  readonly atMs: number;
  readonly author: Author;
  readonly name: string;
};

/** Everybody's memberships over the whole order. */
export type Admissions = {
  /** Index in the order of the entry that opened the run; null: it is not in the set. */
  readonly openedAt: number | null;
  readonly membershipsByDevice: ReadonlyMap<DeviceId, readonly Membership[]>;
};

/**
 * Reads everybody's memberships out of a run's entries.
 *
 * Errors: none.
 */
export function admitDevices(ordered: readonly OrderedEntry[]): Admissions {
  const openedAt = ordered.findIndex(({ entry }) => isOpening(entry));
  if (openedAt === -1) return { openedAt: null, membershipsByDevice: new Map() };
  const letters = findLetters(ordered);
  let counted: readonly Letter[] = [];
  let admissions = admit(ordered[openedAt] as OrderedEntry, openedAt, counted);
  // Each round lets in whom the directors of the round before let in; it settles after as many
  // rounds as there are directors who let in directors.
  for (let round = 0; round <= letters.length; round += 1) {
    const next = letters.filter(
      ({ place, ordered: { entry } }) =>
        authorAt(admissions, entry.device, place).role === "director",
    );
    if (next.length === counted.length && next.every((letter, i) => letter === counted[i])) break;
    counted = next;
    admissions = admit(ordered[openedAt] as OrderedEntry, openedAt, counted);
  }
  return admissions;
}

/** Who a device is at a place of the order; role null if nobody. */
export function authorAt(admissions: Admissions, device: DeviceId, place: number): Author {
  const memberships = admissions.membershipsByDevice.get(device);
  if (memberships === undefined) return stranger(device);
  for (let index = memberships.length - 1; index >= 0; index -= 1) {
    const membership = memberships[index] as Membership;
    if (membership.place < place) return membership.author;
  }
  return (memberships[0] as Membership).author;
}

function stranger(device: DeviceId): Author {
  return { device, role: null, lane: null };
}

type Letter = { readonly place: number; readonly ordered: OrderedEntry };

function isOpening({ run, device, seq, body }: OrderedEntry["entry"]): boolean {
  return body.kind === "run.opened" && seq === 1 && device === rootOfRun(run);
}

function findLetters(ordered: readonly OrderedEntry[]): Letter[] {
  const letters: Letter[] = [];
  for (const [place, at] of ordered.entries()) {
    const { kind } = at.entry.body;
    if (kind === "device.joined" || kind === "device.struck-off") {
      letters.push({ place, ordered: at });
    }
  }
  return letters;
}

function admit(opening: OrderedEntry, openedAt: number, letters: readonly Letter[]): Admissions {
  const membershipsByDevice = new Map<DeviceId, Membership[]>();
  const { entry, atMs } = opening;
  membershipsByDevice.set(entry.device, [
    {
      place: -1,
      atMs,
      author: { device: entry.device, role: "director", lane: null },
      name: entry.body.kind === "run.opened" ? entry.body.deviceName : "",
    },
  ]);
  const recovery = entry.body.kind === "run.opened" ? entry.body.recovery : null;
  if (recovery !== null) {
    const author = authorOf(recovery.device, "director", null);
    membershipsByDevice.set(recovery.device, [{ place: -1, atMs, author, name: "Recovery code" }]);
  }
  for (const letter of letters) addMembership(membershipsByDevice, letter);
  return { openedAt, membershipsByDevice };
}

function addMembership(
  membershipsMutable: Map<DeviceId, Membership[]>,
  { place, ordered: { entry, atMs } }: Letter,
): void {
  const { body } = entry;
  if (body.kind === "device.joined") {
    const { joined: device, role, lane, deviceName: name } = body;
    add(membershipsMutable, device, { place, atMs, author: authorOf(device, role, lane), name });
  } else if (body.kind === "device.struck-off") {
    const device = body.struckOff;
    const name = membershipsMutable.get(device)?.at(-1)?.name ?? "";
    add(membershipsMutable, device, { place, atMs, author: stranger(device), name });
  }
}

function authorOf(device: DeviceId, role: Role, lane: PositionId | null): Author {
  return { device, role, lane };
}

function add(
  membershipsMutable: Map<DeviceId, Membership[]>,
  device: DeviceId,
  membership: Membership,
): void {
  const memberships = membershipsMutable.get(device);
  if (memberships === undefined) membershipsMutable.set(device, [membership]);
  else memberships.push(membership);
}

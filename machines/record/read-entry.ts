// The only way from a value that came in (from the wire, a bundle, a file) to an `Entry`.
//
// [read-entry 1] What it passes is an entry of a known kind with exactly its members, and every
//   member within its bounds; so its canonical text exists.
// [read-entry 2] It reports every fault at once and passes nothing that has one.
// [read-entry 3] What it passes is the value itself, unchanged, so that digests hold.
// It judges one entry by itself: chains, signatures and rights are judged elsewhere.

import type { Fault } from "../procedure/fault.ts";
import {
  byMember,
  exactly,
  id,
  matching,
  nullable,
  number,
  object,
  oneOf,
  readShape,
  truth,
  variants,
  wholeNumber,
} from "../procedure/read-shape.ts";
import type { Shape } from "../procedure/read-shape.ts";
import { units } from "../units/factors.ts";
import { listUpTo, recordOf, textUpTo } from "./entry-shape.ts";
import type { Entry, EntryKind, Role } from "./entry.ts";
import type { DeviceId, HoldId, RunId } from "./ids.ts";

/** Reasons, notes, remarks, answers and cards are at most this long, in UTF-16 code units. */
export const freeTextCharactersMax = 2000;
/** Titles and names of devices are at most this long, in UTF-16 code units. */
export const titleCharactersMax = 200;
/** An entry names at most this many devices in `seen`, positions in a list, or readings. */
export const entryMembersMax = 500;

/**
 * Reads one entry from a parsed JSON value.
 *
 * @returns the entry, or null and every fault; paths are JSON Pointers into `value`
 * Errors: none; faults are data.
 */
export function readEntry(value: unknown): {
  readonly value: Entry | null;
  readonly faults: readonly Fault[];
} {
  return readShape(entryShape, value);
}

const freeText = textUpTo(freeTextCharactersMax);
const title = textUpTo(titleCharactersMax);
const digest = matching(/^[0-9a-f]{64}$/, "64 hexadecimal digits in lower case");
const deviceId = id<DeviceId>();
const anyId = id();
const holdId = matching<HoldId>(
  /^[A-Za-z0-9][A-Za-z0-9._-]{0,63}:[1-9][0-9]{0,15}$/,
  "the id of a hold: a device and a seq with a colon between",
);
const seq = wholeNumber({ min: 1 });
// The farthest moments that ECMAScript's dates reach, either way.
const wallMsMax = 8.64e15;
const wallMs = wholeNumber({ min: -wallMsMax, max: wallMsMax });

const rolesByName: Record<Role, true> = {
  director: true,
  reader: true,
  crew: true,
  support: true,
  observer: true,
};
const role = oneOf(Object.keys(rolesByName));
const unit = oneOf(units);

const place = byMember({
  site: object({ site: anyId }),
  item: object({ item: anyId }),
  position: object({ position: anyId }),
});
const trigger = byMember({
  step: object({ step: anyId }),
  atSeconds: object({ atSeconds: number() }),
  byHand: object({ byHand: exactly(true) }),
});
const scope = variants("covers", {
  everyone: object({ covers: exactly("everyone") }),
  lane: object({ covers: exactly("lane"), lane: anyId }),
  task: object({ covers: exactly("task"), task: anyId }),
});

const recovery = object({
  device: deviceId,
  key: matching(/^B[A-Za-z0-9_-]{86}$/, "a public key: 87 characters of base64url"),
  wrapped: matching(/^[A-Za-z0-9_-]{1,1000}$/, "a wrapped key: base64url"),
});

const gateName = { step: anyId, gate: anyId };

// Members of each kind's body besides `kind`.
const membersByKind: Record<EntryKind, Readonly<Record<string, Shape<unknown>>>> = {
  "run.opened": { procedure: digest, title, deviceName: title, recovery: nullable(recovery) },
  "run.started": {},
  "run.terminated": { reason: freeText },
  "run.aborted": { reason: freeText },
  "run.real-stop-called": { reason: freeText },
  "run.real-stop-acknowledged": {},
  "run.resumed": { reason: freeText },
  "run.closing-started": {},
  "run.closed": {},
  "device.joined": { joined: deviceId, role, lane: nullable(anyId), deviceName: title },
  "device.struck-off": { struckOff: deviceId, reason: freeText },
  "step.started": { step: anyId },
  "step.done": { step: anyId },
  "step.partly-done": { step: anyId, remains: freeText },
  "step.deferred": { step: anyId, reason: freeText },
  "step.not-performed": { step: anyId, reason: freeText },
  "branch.chosen": { step: anyId, branch: anyId },
  "gate.acknowledged": gateName,
  "gate.readback-confirmed": gateName,
  "gate.go-given": gateName,
  "gate.count-reported": { ...gateName, count: wholeNumber({ min: 0, max: 1e9 }) },
  "gate.reading-reported": { ...gateName, value: number(), unit },
  "gate.overridden": { ...gateName, reason: freeText },
  "hold.raised": { scope, reason: freeText, inject: nullable(anyId) },
  "hold.acknowledged": { hold: holdId, lane: anyId },
  "hold.released": { hold: holdId },
  "hold.requested": { reason: freeText },
  "inject.armed": { inject: anyId, trigger },
  "inject.fired": {
    inject: anyId,
    name: title,
    card: freeText,
    shownTo: listUpTo(anyId, entryMembersMax),
  },
  "inject.responded": { inject: anyId, text: freeText },
  "inject.graded": {
    inject: anyId,
    grade: oneOf(["met", "partly-met", "not-met"]),
    remark: freeText,
  },
  "inject.cleared": { inject: anyId },
  "check.recorded": { check: anyId, readings: recordOf(anyId, number(), entryMembersMax) },
  "item.sighted": { item: anyId, at: place },
  "note.added": { text: freeText, step: nullable(anyId), oddity: truth },
  "entry.withdrawn": { withdrawn: object({ device: deviceId, seq }), reason: freeText },
  "clock.sampled": {
    offsetMs: number({ min: -wallMsMax, max: wallMsMax }),
    roundTripMs: number({ min: 0, max: wallMsMax }),
  },
  "clock.jumped": { byMs: number({ min: -wallMsMax, max: wallMsMax }) },
  "entry.withheld": { digest },
};

/** Every kind of entry, in the order of `entry.ts`. */
export const entryKinds = Object.keys(membersByKind) as readonly EntryKind[];

const bodyShape = variants(
  "kind",
  Object.fromEntries(
    Object.entries(membersByKind).map(([kind, bodyMembers]) => [
      kind,
      object({ kind: exactly(kind), ...bodyMembers }),
    ]),
  ),
);

const entryMembers = object({
  run: id<RunId>(),
  device: deviceId,
  seq,
  prev: nullable(digest),
  wallMs,
  seen: recordOf(deviceId, seq, entryMembersMax),
  position: nullable(anyId),
  body: bodyShape,
});

/**
 * Whether an entry that follows on one of its device is well formed, if that one is: its run and device
 * are the same; its `prev` is a digest; its position and the devices that it has seen are ids. It is
 * `entryShape` for many entries at once, without faults.
 *
 * Errors: none.
 */
export function isNextEntry({ device, seq: place, wallMs: ms, seen, body }: Entry): boolean {
  if (!isSeq(place) || place === 1 || !isWallMs(ms)) return false;
  let others = 0;
  for (const other in seen) {
    others += 1;
    if (other === device || !isSeq(seen[other as DeviceId])) return false;
  }
  return others <= entryMembersMax && bodyShape(body, "", []);
}

function isSeq(value: number | undefined): boolean {
  return Number.isSafeInteger(value) && (value as number) >= 1;
}

function isWallMs(value: number): boolean {
  return Number.isSafeInteger(value) && Math.abs(value) <= wallMsMax;
}

/** The shape of an entry, for messages and bundles that hold some. */
export function entryShape(value: unknown, path: string, faults: Fault[]): value is Entry {
  if (!entryMembers(value, path, faults)) return false;
  const faultsBefore = faults.length;
  const mend = "Read the entry again from the device that wrote it.";
  if ((value.seq === 1) !== (value.prev === null)) {
    const says = "A device's first entry, and no other, follows on none.";
    faults.push({ path: `${path}/prev`, code: "broken-chain", says, mend });
  }
  if (Object.hasOwn(value.seen, value.device)) {
    const says = "A device lists itself among the others that it has seen.";
    faults.push({ path: `${path}/seen/${value.device}`, code: "seen-itself", says, mend });
  }
  return faults.length === faultsBefore;
}

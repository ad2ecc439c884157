// The only way from a value that came in (from the wire, a bundle, a file) to an `Entry`.
//
// [read-entry 1] What it passes is an entry of a known kind with exactly its members, and every
//   member within its bounds; so its canonical text exists.
// [read-entry 2] It reports every fault at once and passes nothing that has one.
// [read-entry 3] What it passes is the value itself, unchanged, so that digests hold.
// It judges one entry by itself: chains, signatures and rights are judged elsewhere.

import type { Fault } from "../procedure/fault.ts";
import type { Unit } from "../procedure/procedure.ts";
import type { Entry, EntryKind, Role } from "./entry.ts";
import {
  anyOf,
  idText,
  members,
  nullOr,
  numberBetween,
  oneOf,
  recordOf,
  textUpTo,
  textLike,
} from "./entry-shape.ts";
import type { Check } from "./entry-shape.ts";

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
  const faults: Fault[] = [];
  entryCheck(value, "", faults);
  return { value: faults.length === 0 ? (value as Entry) : null, faults };
}

const freeText = textUpTo(freeTextCharactersMax);
const title = textUpTo(titleCharactersMax);
const digest = textLike(/^[0-9a-f]{64}$/, "64 hexadecimal digits in lower case");
const deviceId = textLike(/^[A-Za-z0-9][A-Za-z0-9._-]{0,63}$/, "the id of a device");
const runId = textLike(/^[A-Za-z0-9][A-Za-z0-9._-]{0,63}$/, "the id of a run");
const holdId = textLike(
  /^[A-Za-z0-9][A-Za-z0-9._-]{0,63}:[1-9][0-9]{0,15}$/,
  "the id of a hold, a device and a seq with a colon between",
);
const seq = numberBetween(1, Number.MAX_SAFE_INTEGER, "whole");
const wallMs = numberBetween(-8.64e15, 8.64e15, "whole");
const anyNumber = numberBetween(-Number.MAX_VALUE, Number.MAX_VALUE, "any");
const flag = oneOf<true | false>([true, false]);
const idList: Check = (value, path, faults) => {
  if (!Array.isArray(value) || value.length > entryMembersMax) {
    const says = `This is no list of at most ${entryMembersMax} ids.`;
    faults.push({ path, code: "wrong-type", says, mend: "Give a list of ids." });
    return;
  }
  for (const [index, member] of value.entries()) idText(member, `${path}/${index}`, faults);
};

const rolesByName: Record<Role, true> = {
  director: true,
  reader: true,
  crew: true,
  support: true,
  observer: true,
};
const unitsByName: Record<Unit, true> = {
  N·m: true,
  ft·lbf: true,
  in·lbf: true,
  kPa: true,
  psi: true,
  mmHg: true,
  W: true,
  "Btu/h": true,
  "kcal/h": true,
  W·h: true,
  kg: true,
  g: true,
  lb: true,
  m: true,
  ft: true,
  s: true,
  min: true,
  "%": true,
  "°C": true,
  "1": true,
};
const role = oneOf(Object.keys(rolesByName));
const unit = oneOf(Object.keys(unitsByName));

const place = anyOf("a site, an item or a position", [
  { when: "site", check: members({ site: idText }) },
  { when: "item", check: members({ item: idText }) },
  { when: "position", check: members({ position: idText }) },
]);
const trigger = anyOf("a step, a time or by hand", [
  { when: "step", check: members({ step: idText }) },
  { when: "atSeconds", check: members({ atSeconds: anyNumber }) },
  { when: "byHand", check: members({ byHand: oneOf([true]) }) },
]);
const scope = anyOf("a lane, a task or everyone", [
  { when: "lane", check: members({ covers: oneOf(["lane"]), lane: idText }) },
  { when: "task", check: members({ covers: oneOf(["task"]), task: idText }) },
  { when: "covers", check: members({ covers: oneOf(["everyone"]) }) },
]);

const gateName = { step: idText, gate: idText };

// Members of each kind's body besides `kind`.
const membersByKind: Record<EntryKind, Readonly<Record<string, Check>>> = {
  "run.opened": { procedure: digest, title, deviceName: title },
  "run.started": {},
  "run.terminated": { reason: freeText },
  "run.aborted": { reason: freeText },
  "run.real-stop-called": { reason: freeText },
  "run.real-stop-acknowledged": {},
  "run.resumed": { reason: freeText },
  "run.closing-started": {},
  "run.closed": {},
  "device.joined": { joined: deviceId, role, lane: nullOr(idText), deviceName: title },
  "device.struck-off": { struckOff: deviceId, reason: freeText },
  "step.started": { step: idText },
  "step.done": { step: idText },
  "step.partly-done": { step: idText, remains: freeText },
  "step.deferred": { step: idText, reason: freeText },
  "step.not-performed": { step: idText, reason: freeText },
  "branch.chosen": { step: idText, branch: idText },
  "gate.acknowledged": gateName,
  "gate.readback-confirmed": gateName,
  "gate.go-given": gateName,
  "gate.count-reported": { ...gateName, count: numberBetween(0, 1e9, "whole") },
  "gate.reading-reported": { ...gateName, value: anyNumber, unit },
  "gate.overridden": { ...gateName, reason: freeText },
  "hold.raised": { scope, reason: freeText, inject: nullOr(idText) },
  "hold.acknowledged": { hold: holdId, lane: idText },
  "hold.released": { hold: holdId },
  "hold.requested": { reason: freeText },
  "inject.armed": { inject: idText, trigger },
  "inject.fired": { inject: idText, name: title, card: freeText, shownTo: idList },
  "inject.responded": { inject: idText, text: freeText },
  "inject.graded": {
    inject: idText,
    grade: oneOf(["met", "partly-met", "not-met"]),
    remark: freeText,
  },
  "inject.cleared": { inject: idText },
  "check.recorded": { check: idText, readings: recordOf(idText, anyNumber, entryMembersMax) },
  "item.sighted": { item: idText, at: place },
  "note.added": { text: freeText, step: nullOr(idText), oddity: flag },
  "entry.withdrawn": { withdrawn: members({ device: deviceId, seq }), reason: freeText },
  "clock.sampled": {
    offsetMs: numberBetween(-8.64e15, 8.64e15, "any"),
    roundTripMs: numberBetween(0, 8.64e15, "any"),
  },
  "clock.jumped": { byMs: numberBetween(-8.64e15, 8.64e15, "any") },
  "entry.withheld": { digest },
};

/** Every kind of entry, in the order of `entry.ts`. */
export const entryKinds = Object.keys(membersByKind) as readonly EntryKind[];

const bodyChecks = new Map<unknown, Check>(
  Object.entries(membersByKind).map(([kind, bodyMembers]) => [
    kind,
    members({ kind: oneOf([kind]), ...bodyMembers }),
  ]),
);

const body: Check = (value, path, faults) => {
  const kind = typeof value === "object" && value !== null ? Reflect.get(value, "kind") : undefined;
  const check = bodyChecks.get(kind);
  if (check === undefined) {
    const says = `No kind of entry is called ${JSON.stringify(kind) ?? "nothing"}.`;
    const mend = "Bring this app up to date; a newer one may have written the entry.";
    faults.push({ path: `${path}/kind`, code: "unknown-kind", says, mend });
    return;
  }
  check(value, path, faults);
};

const entryMembers = members({
  run: runId,
  device: deviceId,
  seq,
  prev: nullOr(digest),
  wallMs,
  seen: recordOf(deviceId, seq, entryMembersMax),
  position: nullOr(idText),
  body,
});

const entryCheck: Check = (value, path, faults) => {
  const faultsBefore = faults.length;
  entryMembers(value, path, faults);
  if (faults.length > faultsBefore) return;
  const entry = value as Entry;
  if ((entry.seq === 1) !== (entry.prev === null)) {
    const says = "A device's first entry, and no other, follows on none.";
    const mend = "Read the entry again from the device that wrote it.";
    faults.push({ path: `${path}/prev`, code: "broken-chain", says, mend });
  }
  if (Object.hasOwn(entry.seen, entry.device)) {
    const says = "A device lists itself among the others that it has seen.";
    const mend = "Read the entry again from the device that wrote it.";
    faults.push({ path: `${path}/seen/${entry.device}`, code: "seen-itself", says, mend });
  }
};

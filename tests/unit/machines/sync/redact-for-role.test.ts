// What each role may read of the record.

import * as fc from "fast-check";
import { expect, test } from "vitest";
import type { InjectId, PositionId } from "../../../../machines/procedure/ids.ts";
import type { Entry, EntryBody, Role } from "../../../../machines/record/entry.ts";
import { entryDigest } from "../../../../machines/record/digest-entry.ts";
import type { DeviceId, PublicKeyText, RunId } from "../../../../machines/record/ids.ts";
import {
  hideEntries,
  isForDirectorsOnly,
  readsStandIns,
} from "../../../../machines/sync/redact-for-role.ts";
import { createSegment, readSegment } from "../../../../machines/sync/segment.ts";
import type { Segment } from "../../../../machines/sync/segment.ts";
import { sha256Hex } from "../../../../workers/keys/sha-256.ts";

const device = "director-1" as DeviceId;
const inject = "glove" as InjectId;
const roles: readonly Role[] = ["director", "reader", "crew", "support", "observer"];
const others = roles.filter((role) => role !== "director");

function anEntry(body: EntryBody, seq = 2, prev: string | null = "0".repeat(64)): Entry {
  const seen = { ["tablet-1" as DeviceId]: 4 };
  return { run: "run-1" as RunId, device, seq, prev, wallMs: 7, seen, position: null, body };
}

const armed = anEntry({ kind: "inject.armed", inject, trigger: { byHand: true } });

// Three entries: the second arms an inject for a position that only it names.
function digest(entry: Entry): string {
  return entryDigest(entry, sha256Hex);
}

function aSegment(): Segment {
  const first = anEntry({ kind: "run.started" }, 1, null);
  const second = { ...armed, prev: digest(first), position: "ev9" as PositionId };
  const third = { ...anEntry({ kind: "run.closed" }, 3, digest(second)), position: "iv" };
  const key = "B".repeat(87) as PublicKeyText;
  const head = { run: first.run, device, seq: 3, digest: digest(third as Entry), key };
  return createSegment([first, second, third as Entry], { ...head, signature: "A".repeat(86) });
}

const hidden = [
  { seq: 2, digest: readSegment(aSegment(), "", sha256Hex).segment?.digests[1] as string },
];

test("[redact 1] [redact 4] only who is no director reads stand-ins, and only until the closing", () => {
  for (const role of roles) {
    expect(readsStandIns({ role, isRunClosed: false })).toBe(role !== "director");
    expect(readsStandIns({ role, isRunClosed: true })).toBe(false);
  }
  expect(others).toHaveLength(4);
});

test("[redact 2] what is hidden is nowhere in the segment, not in its lists either", () => {
  const text = JSON.stringify(hideEntries(aSegment(), hidden));
  for (const secret of ["glove", "inject", "trigger", "ev9"]) expect(text).not.toContain(secret);
  expect(text).toContain("iv");
});

test("[redact 3] a stand-in keeps the chain, its signature and what the order needs", () => {
  const before = readSegment(aSegment(), "", sha256Hex).segment;
  const { segment, faults } = readSegment(hideEntries(aSegment(), hidden), "", sha256Hex);
  expect(faults).toEqual([]);
  expect(segment?.digests).toEqual(before?.digests);
  expect(segment?.head).toEqual(before?.head);
  expect([segment?.entries[0], segment?.entries[2]]).toEqual([
    before?.entries[0],
    before?.entries[2],
  ]);
  const body = { kind: "entry.withheld", digest: hidden[0]?.digest };
  expect(segment?.entries[1]).toEqual({ ...before?.entries[1], body, position: null });
});

test("[redact 3] any entries of a segment can be hidden", () => {
  fc.assert(
    fc.property(fc.subarray([1, 2, 3]), (seqs) => {
      const digests = readSegment(aSegment(), "", sha256Hex).segment?.digests ?? [];
      const some = seqs.map((seq) => ({ seq, digest: digests[seq - 1] as string }));
      const read = readSegment(hideEntries(aSegment(), some), "", sha256Hex);
      expect(read.faults).toEqual([]);
      expect(read.segment?.digests).toEqual(digests);
    }),
  );
});

const nothingKnown = { isFired: () => false, isDirectorOnly: () => undefined };

test("[redact 2] arming and grading are for directors only, firing and response are not", () => {
  const fired: EntryBody = { kind: "inject.fired", inject, name: "G", card: "C", shownTo: [] };
  const cases: readonly (readonly [EntryBody, boolean])[] = [
    [armed.body, true],
    [{ kind: "inject.graded", inject, grade: "met", remark: "as due" }, true],
    [{ kind: "inject.cleared", inject }, true],
    [fired, false],
    [{ kind: "inject.responded", inject, text: "stopped" }, false],
    [{ kind: "hold.raised", scope: { covers: "everyone" }, reason: "", inject }, false],
    [{ kind: "run.closed" }, false],
  ];
  for (const [body, isDirectorOnly] of cases) {
    expect(isForDirectorsOnly(anEntry(body), "director", nothingKnown), body.kind).toBe(
      isDirectorOnly,
    );
  }
});

test("[redact 2] clearing an inject that was fired is no secret", () => {
  const clearing = anEntry({ kind: "inject.cleared", inject });
  const known = { ...nothingKnown, isFired: (asked: InjectId) => asked === inject };
  expect(isForDirectorsOnly(clearing, "director", known)).toBe(false);
});

test("[redact 5] a withdrawal is as secret as what it takes back; unknown, as its author", () => {
  const withdrawn = { device, seq: 1 };
  const taking = anEntry({ kind: "entry.withdrawn", withdrawn, reason: "mis-tap" });
  for (const isDirectorOnly of [true, false]) {
    const known = { ...nothingKnown, isDirectorOnly: () => isDirectorOnly };
    for (const role of roles) {
      expect(isForDirectorsOnly(taking, role, known)).toBe(isDirectorOnly);
    }
  }
  for (const role of roles) {
    expect(isForDirectorsOnly(taking, role, nothingKnown)).toBe(role === "director");
  }
});

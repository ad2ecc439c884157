// What each role may read of the record.

import { expect, test } from "vitest";
import type { InjectId } from "../../../../machines/procedure/ids.ts";
import type { Entry, EntryBody, Role } from "../../../../machines/record/entry.ts";
import { entryDigest } from "../../../../machines/record/digest-entry.ts";
import type { DeviceId, RunId } from "../../../../machines/record/ids.ts";
import { readEntry } from "../../../../machines/record/read-entry.ts";
import { isForDirectorsOnly, redactForRole } from "../../../../machines/sync/redact-for-role.ts";
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
const hidden = { entry: armed, digest: entryDigest(armed, sha256Hex), isDirectorOnly: true };
const plain = { ...hidden, isDirectorOnly: false };

test("[redact 1] a director reads every entry as it is", () => {
  for (const isRunClosed of [false, true]) {
    expect(redactForRole(hidden, { role: "director", isRunClosed })).toBe(armed);
  }
});

test("[redact 2] before the closing, every other role reads a stand-in", () => {
  for (const role of others) {
    const seen = redactForRole(hidden, { role, isRunClosed: false });
    expect(seen.body).toEqual({ kind: "entry.withheld", digest: hidden.digest });
    expect(JSON.stringify(seen)).not.toContain("glove");
    expect(readEntry(seen).faults).toEqual([]);
    expect(redactForRole(plain, { role, isRunClosed: false })).toBe(armed);
  }
});

test("[redact 3] a stand-in keeps what the chain and the order need", () => {
  const { body: _body, ...kept } = redactForRole(hidden, { role: "crew", isRunClosed: false });
  const { body: _armed, ...original } = armed;
  expect(kept).toEqual(original);
  const next = anEntry({ kind: "run.started" }, 3, hidden.digest);
  expect(next.prev).toBe(hidden.digest);
});

test("[redact 3] a stand-in names no position", () => {
  const entry = { ...armed, position: "ev1" as never };
  const seen = redactForRole({ ...hidden, entry }, { role: "crew", isRunClosed: false });
  expect(seen.position).toBeNull();
});

test("[redact 4] after the closing everybody reads every entry as it is", () => {
  for (const role of roles) expect(redactForRole(hidden, { role, isRunClosed: true })).toBe(armed);
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

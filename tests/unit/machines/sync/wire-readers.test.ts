// The readers of every message: what is right passes unchanged, what is wrong is named by its path.

import { expect, test } from "vitest";
import { readInviteAnswer, readInviteRequest } from "../../../../machines/sync/invite.ts";
import { readJoinAnswer, readJoinRequest } from "../../../../machines/sync/join.ts";
import { readOpenAnswer, readOpenRequest } from "../../../../machines/sync/open.ts";
import {
  readProceduresAnswer,
  readStoredInjectScript,
} from "../../../../machines/sync/procedures.ts";
import { readPullAnswer } from "../../../../machines/sync/pull.ts";
import { readPushAnswer, readPushRequest } from "../../../../machines/sync/push.ts";
import { readRefusal } from "../../../../machines/sync/refusal.ts";
import { readEntriesHint, readHeardHint } from "../../../../machines/sync/stream.ts";

type Read = (value: unknown) => { readonly value: unknown; readonly faults: readonly unknown[] };

const device = "0192f0c1-2345-7abc-8def-0123456789ab";
const identity = "0123456789abcdef".repeat(4);
const token = "A-_z".repeat(10) + "abc";
const shown = { key: `B${"A".repeat(86)}`, proof: "A".repeat(86) };
const stamps = { receivedMs: 1_700_000_000_000, answeredMs: 1_700_000_000_001 };
const entry = {
  run: "run-1",
  device,
  seq: 1,
  prev: null,
  wallMs: 1,
  seen: {},
  position: "ev1",
  body: { kind: "note.added", text: "Ready", step: null, oddity: false },
};

const messages: readonly (readonly [name: string, read: Read, right: Record<string, unknown>])[] = [
  [
    "OpenRequest",
    readOpenRequest,
    {
      run: "run-1",
      device,
      deviceName: "Desk",
      token,
      title: "Monday",
      procedure: identity,
      recovery: { device, codeDigest: identity },
      ...shown,
    },
  ],
  ["OpenAnswer", readOpenAnswer, { run: "run-1" }],
  ["InviteRequest", readInviteRequest, { role: "crew", lane: "ev1" }],
  ["InviteAnswer", readInviteAnswer, { code: "BCDF-GHJK", expiresAtMs: 1 }],
  [
    "JoinRequest",
    readJoinRequest,
    { code: "bcdf ghjk", device, deviceName: "Tablet", token, ...shown },
  ],
  [
    "JoinAnswer",
    readJoinAnswer,
    { run: "run-1", title: "Monday", procedure: identity, role: "observer", lane: null },
  ],
  ["PushRequest", readPushRequest, { segments: [{}] }],
  [
    "PushAnswer",
    readPushAnswer,
    {
      have: { [device]: 3 },
      refused: [{ device, seq: 4, code: "gap", says: "Four is missing." }],
      stamps,
    },
  ],
  [
    "PullAnswer",
    readPullAnswer,
    {
      cursor: { epoch: "an epoch", after: 0 },
      segments: [{}],
      unveiled: [entry],
      more: false,
      have: { [device]: 1 },
      lastHeardMs: { [device]: 1 },
      admissions: [{ device, deviceName: "Tablet", role: "crew", lane: "ev1" }],
      setAside: [{ device, fromSeq: 1, toSeq: 2, code: "fork", receivedMs: 3 }],
      stamps,
    },
  ],
  ["EntriesHint", readEntriesHint, { after: 7 }],
  ["HeardHint", readHeardHint, { lastHeardMs: { [device]: 1 }, hubMs: 2 }],
  [
    "ProceduresAnswer",
    readProceduresAnswer,
    { procedures: [{ identity, id: "p1", title: "P", revision: "A", summary: "" }] },
  ],
  [
    "StoredInjectScript",
    readStoredInjectScript,
    {
      identity,
      script: {
        format: "lanehold.inject-script",
        formatVersion: 1,
        title: "Cases",
        procedureId: "p1",
        injects: [],
      },
    },
  ],
  [
    "Refusal",
    readRefusal,
    {
      code: "body-malformed",
      says: "The hub could not read this request.",
      mend: "Bring the app up to date.",
      faults: [{ path: "", code: "not-json", says: "It breaks.", mend: "Mend it." }],
    },
  ],
];

test("[wire 1] a right message passes as the very value it is", () => {
  for (const [name, read, right] of messages) {
    const { value, faults } = read(right);
    expect(faults, name).toEqual([]);
    expect(value, name).toBe(right);
  }
});

test("[wire 1] each member that is missing, unknown or of a wrong type is named", () => {
  for (const [name, read, right] of messages) {
    for (const member of Object.keys(right)) {
      const { [member]: _left, ...rest } = right;
      checkFault(read(rest), { path: "", code: "missing-member" }, `${name} without ${member}`);
      for (const wrong of [undefined, [[]], Number.NaN, { "": {} }]) {
        const { value, faults } = read({ ...right, [member]: wrong });
        expect(value, `${name}.${member}`).toBeNull();
        expect(JSON.stringify(faults), `${name}.${member}`).toContain(`"path":"/${member}`);
      }
    }
    checkFault(read({ ...right, extra: 1 }), { path: "/extra", code: "unknown-member" }, name);
    for (const wrong of [null, undefined, 7, "text", [right], true]) {
      checkFault(read(wrong), { path: "", code: "wrong-type" }, name);
    }
  }
});

test("[wire 1] all faults come at once, each with its path", () => {
  const right = messages.find(([name]) => name === "PullAnswer")?.[2];
  const { faults } = readPullAnswer({
    ...right,
    unveiled: [entry, { ...entry, seq: 0, wallMs: "now" }],
    have: { "": 1, [device]: -1 },
    cursor: { epoch: "", after: 0.5 },
  });
  expect(faults.map(({ path }) => path)).toEqual([
    "/cursor/epoch",
    "/cursor/after",
    "/unveiled/1/seq",
    "/unveiled/1/wallMs",
    "/have/",
    `/have/${device}`,
  ]);
});

test("[wire 1] ids, tokens, codes and identities have one form each", () => {
  const wrong: readonly (readonly [Read, Record<string, unknown>, string])[] = [
    [readOpenRequest, { token: token.slice(1) }, "/token"],
    [readOpenRequest, { token: `${token.slice(1)}=` }, "/token"],
    [readOpenRequest, { procedure: identity.toUpperCase() }, "/procedure"],
    [readOpenRequest, { run: "../run" }, "/run"],
    [readOpenRequest, { device: "__proto__" }, "/device"],
    [readOpenRequest, { title: "x".repeat(201) }, "/title"],
    [readOpenRequest, { title: "half \ud800" }, "/title"],
    [readInviteAnswer, { code: "ABCD-EFGH" }, "/code"],
    [readInviteAnswer, { code: "BCDFGHJK" }, "/code"],
    [readInviteRequest, { role: "captain" }, "/role"],
    [readJoinRequest, { code: "x".repeat(81) }, "/code"],
  ];
  for (const [read, change, path] of wrong) {
    const right = messages.find(([, reader]) => reader === read)?.[2];
    const { value, faults } = read({ ...right, ...change });
    expect(value, path).toBeNull();
    expect(faults).toMatchObject([{ path }]);
  }
});

function checkFault(
  { value, faults }: ReturnType<Read>,
  fault: { readonly path: string; readonly code: string },
  what: string,
): void {
  expect(value, what).toBeNull();
  expect(faults, what).toContainEqual(expect.objectContaining(fault));
}

// Requests that the hub refuses: each with a clear message, and nothing changed.

import { gzipSync } from "node:zlib";
import { expect, test } from "vitest";
import { protocolHeader } from "../../../../../machines/sync/protocol-version.ts";
import {
  pushEntriesMax,
  requestBytesMax,
  unpackedBytesMax,
} from "../../../../../machines/sync/push.ts";
import { createToken } from "../../../../../workers/keys/random-token.ts";
import { aDevice, aHub, joinJson, letIn, openRun, push, refusalOf, run } from "../a-hub.ts";
import type { AskOptions } from "../a-hub.ts";
import { note, notes } from "../incoming-entries.ts";

const entriesPath = `/api/runs/${run}/entries`;

type Case = {
  readonly what: string;
  readonly method?: string;
  readonly path?: string;
  readonly options: AskOptions;
  readonly status: number;
  readonly code: string;
  readonly fault?: { readonly path: string; readonly code: string };
};

/** Asks, and sees the refusal and an unchanged file. */
async function check(makeCases: (hub: ReadyHub) => readonly Case[]): Promise<void> {
  const hub = await readyHub();
  const before = hub.testHub.dump();
  for (const { what, method = "POST", path = entriesPath, options, ...refused } of makeCases(hub)) {
    const answer = await hub.testHub.ask(method, path, options);
    expect(answer.status, what).toBe(refused.status);
    const refusal = await refusalOf(answer);
    expect(refusal.code, what).toBe(refused.code);
    expect(refusal.says.length, what).toBeGreaterThan(20);
    expect(refusal.mend.length, what).toBeGreaterThan(10);
    if (refused.fault === undefined) expect(refusal.faults, what).toEqual([]);
    else expect(refusal.faults, what).toContainEqual(expect.objectContaining(refused.fault));
  }
  expect(hub.testHub.dump()).toBe(before);
}

type ReadyHub = Awaited<ReturnType<typeof readyHub>>;

async function readyHub() {
  const testHub = await aHub();
  const director = await openRun(testHub);
  const crew = await letIn(testHub, director, { name: "ev1", role: "crew", lane: "ev1" });
  await push(testHub, director, director.write(note("one")));
  await push(testHub, crew, crew.write(note("one")));
  return { testHub, director, crew };
}

test("[authenticate 1] an unknown run, no token, a wrong token, another run's token", () =>
  check(({ crew }) => [
    {
      what: "unknown run",
      path: "/api/runs/run-9/entries",
      options: { token: crew.token, json: { entries: [] } },
      status: 404,
      code: "run-unknown",
    },
    { what: "no token", options: { json: { entries: [] } }, status: 401, code: "token-missing" },
    {
      what: "a token in another form",
      options: { headers: { authorization: "Basic abc" }, json: { entries: [] } },
      status: 401,
      code: "token-missing",
    },
    {
      what: "wrong token",
      options: { token: createToken(), json: { entries: [] } },
      status: 401,
      code: "token-wrong",
    },
    {
      what: "wrong token on the stream",
      method: "GET",
      path: `/api/runs/${run}/stream`,
      options: { token: createToken() },
      status: 401,
      code: "token-wrong",
    },
  ]));

test("[inject-script-route 1] a crew device gets no inject script and makes no code", () =>
  check(({ crew, director }) => [
    {
      what: "inject script for crew",
      method: "GET",
      path: `/api/runs/${run}/inject-script`,
      options: { token: crew.token },
      status: 403,
      code: "role-wrong",
    },
    {
      what: "code by crew",
      path: `/api/runs/${run}/invitations`,
      options: { token: crew.token, json: { role: "director", lane: null } },
      status: 403,
      code: "role-wrong",
    },
    {
      what: "no script there",
      method: "GET",
      path: `/api/runs/${run}/inject-script`,
      options: { token: director.token },
      status: 404,
      code: "inject-script-none",
    },
  ]));

test("[server 1] another version of the wire, or none", () =>
  check(({ crew }) => [
    {
      what: "newer version",
      options: { token: crew.token, headers: { [protocolHeader]: "2" }, json: { entries: [] } },
      status: 426,
      code: "protocol-version",
    },
    {
      what: "no version",
      method: "GET",
      path: "/api/procedures",
      options: { headers: { [protocolHeader]: "" } },
      status: 426,
      code: "protocol-version",
    },
  ]));

test("[body 2] what is not JSON, not UTF-8, not gzip, or not of the shape", () =>
  check(({ crew: { token, write } }) => {
    const [entry] = write(note("two"));
    const malformed = { status: 400, code: "body-malformed" };
    return [
      {
        what: "cut JSON",
        options: { token, body: '{"entries": [' },
        ...malformed,
        fault: { path: "", code: "not-json" },
      },
      {
        what: "a name twice",
        options: { token, body: '{"entries": [], "entries": []}' },
        ...malformed,
        fault: { path: "", code: "not-json" },
      },
      {
        what: "not UTF-8",
        options: { token, body: new Uint8Array([0x22, 0xff, 0xfe, 0x22]) },
        ...malformed,
        fault: { path: "", code: "not-utf-8" },
      },
      {
        what: "not gzip",
        options: { token, body: "plain", headers: { "content-encoding": "gzip" } },
        ...malformed,
        fault: { path: "", code: "not-gzip" },
      },
      {
        what: "cut gzip",
        options: {
          token,
          body: new Uint8Array(gzipSync('{"entries": []}').subarray(0, 20)),
          headers: { "content-encoding": "gzip" },
        },
        ...malformed,
        fault: { path: "", code: "not-gzip" },
      },
      { what: "empty", options: { token }, ...malformed, fault: { path: "", code: "not-json" } },
      {
        what: "a list for an object",
        options: { token, json: [] },
        ...malformed,
        fault: { path: "", code: "wrong-type" },
      },
      {
        what: "no entries",
        options: { token, json: {} },
        ...malformed,
        fault: { path: "", code: "missing-member" },
      },
      {
        what: "a member that nobody knows",
        options: { token, json: { entries: [], extra: 1 } },
        ...malformed,
        fault: { path: "/extra", code: "unknown-member" },
      },
      {
        what: "seq as text",
        options: { token, json: { entries: [{ ...entry, seq: "2" }] } },
        ...malformed,
        fault: { path: "/entries/0/seq", code: "wrong-type" },
      },
      {
        what: "an unknown kind",
        options: { token, json: { entries: [{ ...entry, body: { kind: "step.eaten" } }] } },
        ...malformed,
        fault: { path: "/entries/0/body/kind", code: "not-in-list" },
      },
      {
        what: "an encoding that nobody unpacks",
        options: { token, body: "{}", headers: { "content-encoding": "br" } },
        status: 415,
        code: "encoding-unknown",
      },
    ];
  }));

test("[push-route 2] entries of another run or device, and stand-ins", () =>
  check(({ crew: { token, write }, director }) => {
    const [entry] = write(note("two"));
    const foreign = director.write(note("two"));
    const malformed = { status: 400, code: "body-malformed" };
    const withheld = { kind: "entry.withheld", digest: "0".repeat(64) };
    return [
      {
        what: "another device's",
        options: { token, json: { entries: foreign } },
        ...malformed,
        fault: { path: "/entries/0", code: "not-its-own" },
      },
      {
        what: "another run's",
        options: { token, json: { entries: [{ ...entry, run: "run-2" }] } },
        ...malformed,
        fault: { path: "/entries/0", code: "not-its-own" },
      },
      {
        what: "a stand-in",
        options: { token, json: { entries: [{ ...entry, body: withheld }] } },
        ...malformed,
        fault: { path: "/entries/0/body/kind", code: "not-sendable" },
      },
    ];
  }));

test("[body 1] too many entries, too large, and what unpacks to too much", () =>
  check(({ crew: { token, write } }) => {
    const large = JSON.stringify({ entries: [], padding: "x".repeat(requestBytesMax) });
    const bomb = gzipSync(Buffer.alloc(unpackedBytesMax + 1, " "));
    expect(bomb.length).toBeLessThan(10_000);
    const tooLarge = { status: 413, code: "body-too-large" };
    return [
      {
        what: "too many",
        options: { token, json: { entries: write(...notes(pushEntriesMax + 1)) } },
        status: 400,
        code: "body-malformed",
        fault: { path: "/entries", code: "too-many" },
      },
      { what: "too large", options: { token, body: large }, ...tooLarge },
      {
        what: "too large by what it says",
        options: { token, body: "{}", headers: { "content-length": String(requestBytesMax + 1) } },
        ...tooLarge,
      },
      {
        what: "a bomb",
        options: {
          token,
          body: new Uint8Array(bomb),
          headers: { "content-encoding": "gzip" },
        },
        ...tooLarge,
      },
    ];
  }));

test("[body 1] a packed body that fits is taken", async () => {
  const { testHub, crew } = await readyHub();
  const entries = crew.write(...notes(100));
  const answer = await testHub.ask("POST", entriesPath, {
    token: crew.token,
    body: new Uint8Array(gzipSync(JSON.stringify({ entries }))),
    headers: { "content-encoding": "gzip" },
  });
  expect(await answer.json()).toMatchObject({ have: { [crew.device]: 101 }, refused: null });
});

test("[answer 1] a cursor that is none, and an address that is none", () =>
  check(({ crew: { token } }) => [
    {
      what: "a cursor in words",
      method: "GET",
      path: `${entriesPath}?epoch=x&after=last`,
      options: { token },
      status: 400,
      code: "body-malformed",
      fault: { path: "after", code: "wrong-type" },
    },
    {
      what: "a negative cursor",
      method: "GET",
      path: `${entriesPath}?after=-1`,
      options: { token },
      status: 400,
      code: "body-malformed",
      fault: { path: "after", code: "wrong-type" },
    },
    {
      what: "no such address",
      method: "GET",
      path: "/api/crews",
      options: { token },
      status: 404,
      code: "route-unknown",
    },
    {
      what: "no such method",
      method: "DELETE",
      path: entriesPath,
      options: { token },
      status: 404,
      code: "route-unknown",
    },
  ]));

test("[body 2] wrong bodies to open and to join list every fault at once", () =>
  check(() => [
    {
      what: "open with nothing right",
      path: "/api/runs",
      options: {
        json: { run: "", device: 7, deviceName: " ", token: "short", title: "", procedure: "x" },
      },
      status: 400,
      code: "body-malformed",
      fault: { path: "/token", code: "wrong-form" },
    },
    {
      what: "join without a device",
      path: "/api/join",
      options: { json: { ...joinJson(aDevice("x"), "BCDF-GHJK"), device: null } },
      status: 400,
      code: "body-malformed",
      fault: { path: "/device", code: "wrong-type" },
    },
    {
      what: "join with an endless name",
      path: "/api/join",
      options: { json: { ...joinJson(aDevice("x"), "BCDF-GHJK"), deviceName: "x".repeat(201) } },
      status: 400,
      code: "body-malformed",
      fault: { path: "/deviceName", code: "too-long" },
    },
  ]));

test("[limits 1] a device that asks too often must wait, and may then go on", async () => {
  const { testHub, crew, director } = await readyHub();
  const ask = (token: string) => testHub.ask("GET", entriesPath, { token });
  let answer = await ask(crew.token);
  for (let count = 0; answer.status === 200 && count < 1000; count += 1) {
    answer = await ask(crew.token);
  }
  expect(answer.status).toBe(429);
  expect(await refusalOf(answer)).toMatchObject({ code: "rate-limited" });
  expect((await ask(director.token)).status).toBe(200);
  testHub.clock.pass(Number(answer.headers.get("retry-after")) * 1000);
  expect((await ask(crew.token)).status).toBe(200);
});

test("[answer 1] a refusal lists no endless faults", async () => {
  const { testHub, crew } = await readyHub();
  const json = { entries: Array.from({ length: pushEntriesMax }, () => ({})) };
  const answer = await testHub.ask("POST", entriesPath, { token: crew.token, json });
  const refusal = await refusalOf(answer);
  expect(refusal.faults).toHaveLength(200);
  expect(refusal.says).toMatch(/\d+ more faults/);
});

// Requests that the hub refuses: each with a clear message, and nothing changed.

import { gzipSync } from "node:zlib";
import { expect, test } from "vitest";
import type { RunId } from "../../../../../machines/record/ids.ts";
import { protocolHeader, protocolVersion } from "../../../../../machines/sync/protocol-version.ts";
import {
  pushEntriesMax,
  pushSegmentsMax,
  requestBytesMax,
  unpackedBytesMax,
} from "../../../../../machines/sync/push.ts";
import { createToken } from "../../../../../workers/keys/random-token.ts";
import { aDevice, joinJson, refusalOf, run, signed } from "../a-hub.ts";
import { chain, note, notes } from "../incoming-entries.ts";
import { check, entriesPath, readyHub } from "./check-refusals.ts";

test("[authenticate 1] an unknown run, no token, a wrong token, another run's token", () =>
  check(({ crew }) => [
    {
      what: "unknown run",
      path: "/api/runs/run-9/entries",
      options: { token: crew.token, json: { segments: [] } },
      status: 404,
      code: "run-unknown",
    },
    { what: "no token", options: { json: { segments: [] } }, status: 401, code: "token-missing" },
    {
      what: "a token in another form",
      options: { headers: { authorization: "Basic abc" }, json: { segments: [] } },
      status: 401,
      code: "token-missing",
    },
    {
      what: "wrong token",
      options: { token: createToken(), json: { segments: [] } },
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
      options: {
        token: crew.token,
        headers: { [protocolHeader]: String(protocolVersion + 1) },
        json: { segments: [] },
      },
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
  check(async ({ crew }) => {
    const { token } = crew;
    const segment = await signed(crew, crew.write(note("two"), note("three")));
    const { entries, head } = segment;
    const malformed = { status: 400, code: "body-malformed" };
    return [
      {
        what: "cut JSON",
        options: { token, body: '{"segments": [' },
        ...malformed,
        fault: { path: "", code: "not-json" },
      },
      {
        what: "a name twice",
        options: { token, body: '{"segments": [], "segments": []}' },
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
          body: new Uint8Array(gzipSync('{"segments": []}').subarray(0, 20)),
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
        what: "no segments",
        options: { token, json: {} },
        ...malformed,
        fault: { path: "", code: "missing-member" },
      },
      {
        what: "a member that nobody knows",
        options: { token, json: { segments: [], extra: 1 } },
        ...malformed,
        fault: { path: "/extra", code: "unknown-member" },
      },
      {
        what: "seq as text",
        options: { token, json: { segments: [{ ...segment, head: { ...head, seq: "2" } }] } },
        ...malformed,
        fault: { path: "/segments/0/head/seq", code: "wrong-type" },
      },
      {
        what: "an unknown kind",
        options: {
          token,
          json: {
            segments: [
              segment,
              { ...segment, entries: { ...entries, shapes: [["step.eaten"]], bodies: [[0], [0]] } },
            ],
          },
        },
        ...malformed,
        fault: { path: "/segments/1/entries/bodies/0/body/kind", code: "not-in-list" },
      },
      {
        what: "entries that are not those that were signed",
        options: {
          token,
          json: { segments: [{ ...segment, entries: { ...entries, wallMs: [1, 2] } }] },
        },
        ...malformed,
        fault: { path: "/segments/0/head/digest", code: "broken-chain" },
      },
      {
        what: "a segment without an entry",
        options: {
          token,
          json: {
            segments: [
              { ...segment, entries: { ...entries, wallMs: [], position: [], bodies: [] } },
            ],
          },
        },
        ...malformed,
        fault: { path: "/segments/0/entries/bodies", code: "packed-wrong" },
      },
      {
        what: "an encoding that nobody unpacks",
        options: { token, body: "{}", headers: { "content-encoding": "br" } },
        status: 415,
        code: "encoding-unknown",
      },
    ];
  }));

test("[push-route 2] a segment of another run keeps all that came with it out", () =>
  check(async ({ crew }) => {
    const { token } = crew;
    const good = await signed(crew, crew.write(note("two")));
    const foreign = await signed(
      crew,
      chain({ run: `${crew.device}.other` as RunId, device: crew.device }, [note("x")]),
    );
    return [
      {
        what: "another run's",
        options: { token, json: { segments: [good, foreign] } },
        status: 400,
        code: "body-malformed",
        fault: { path: "/segments/1/head/run", code: "other-run" },
      },
    ];
  }));

test("[body 1] too many entries, too large, and what unpacks to too much", () =>
  check(async ({ crew }) => {
    const { token } = crew;
    const parts = [0, 1].map(() => crew.write(...notes(pushEntriesMax / 2 + 1)));
    const segments = await Promise.all(parts.map((entries) => signed(crew, entries)));
    const large = JSON.stringify({ segments: [], padding: "x".repeat(requestBytesMax) });
    const bomb = gzipSync(Buffer.alloc(unpackedBytesMax + 1, " "));
    expect(bomb.length).toBeLessThan(10_000);
    const tooLarge = { status: 413, code: "body-too-large" };
    return [
      {
        what: "too many",
        options: { token, json: { segments } },
        status: 400,
        code: "body-malformed",
        fault: { path: "/segments", code: "too-many" },
      },
      {
        what: "too many segments",
        options: { token, json: { segments: Array<null>(pushSegmentsMax + 1).fill(null) } },
        status: 400,
        code: "body-malformed",
        fault: { path: "/segments", code: "too-many" },
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
  const segments = [await signed(crew, crew.write(...notes(100)))];
  const answer = await testHub.ask("POST", entriesPath, {
    token: crew.token,
    body: new Uint8Array(gzipSync(JSON.stringify({ segments }))),
    headers: { "content-encoding": "gzip" },
  });
  expect(await answer.json()).toMatchObject({ have: { [crew.device]: 101 }, refused: [] });
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
  check(async () => [
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
      options: { json: { ...(await joinJson(await aDevice(), "BCDF-GHJK")), device: null } },
      status: 400,
      code: "body-malformed",
      fault: { path: "/device", code: "wrong-type" },
    },
    {
      // Found by a mutated request: the text that the device signs could not be made, and the hub failed.
      what: "join with half of a character in its code",
      path: "/api/join",
      options: { json: await joinJsonWithHalf() },
      status: 400,
      code: "body-malformed",
      fault: { path: "/code", code: "wrong-form" },
    },
    {
      what: "join with an endless name",
      path: "/api/join",
      options: {
        json: { ...(await joinJson(await aDevice(), "BCDF-GHJK")), deviceName: "x".repeat(201) },
      },
      status: 400,
      code: "body-malformed",
      fault: { path: "/deviceName", code: "too-long" },
    },
  ]));

async function joinJsonWithHalf(): Promise<object> {
  return { ...(await joinJson(await aDevice(), "BCDF-GHJK")), code: "BCDF-GHJ\uD800" };
}

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
  const bodies = Array.from({ length: pushEntriesMax }, () => []);
  const json = { segments: [{ entries: { bodies } }] };
  const answer = await testHub.ask("POST", entriesPath, { token: crew.token, json });
  const refusal = await refusalOf(answer);
  expect(refusal.faults).toHaveLength(200);
  expect(refusal.says).toMatch(/\d+ more faults/);
});

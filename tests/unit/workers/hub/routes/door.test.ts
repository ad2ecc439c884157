// Opening, inviting and joining.

import { expect, test } from "vitest";
import type { Identity } from "../../../../../machines/procedure/ids.ts";
import { readInviteAnswer } from "../../../../../machines/sync/invite.ts";
import { readJoinAnswer } from "../../../../../machines/sync/join.ts";
import { readOpenAnswer } from "../../../../../machines/sync/open.ts";
import { createToken } from "../../../../../workers/keys/random-token.ts";
import {
  aDevice,
  aHub,
  invite,
  joinJson,
  letIn,
  openJson,
  openRun,
  pull,
  push,
  refusalOf,
  run,
  theOpener,
} from "../a-hub.ts";

test("[open-route 1] a run is opened, and opened again by the same device", async () => {
  const testHub = await aHub();
  const { ask, procedure, dump } = testHub;
  const director = theOpener();
  const json = await openJson(director, procedure);
  const first = await ask("POST", "/api/runs", { json });
  expect(readOpenAnswer(await first.json()).value).toEqual({ run });
  const before = dump();
  expect((await ask("POST", "/api/runs", { json })).status).toBe(200);
  expect(dump()).toBe(before);
  for (const other of [{ token: createToken() }, { title: "Tuesday" }]) {
    const otherwise = await openJson(director, procedure, other);
    const answer = await ask("POST", "/api/runs", { json: otherwise });
    expect(answer.status).toBe(409);
    expect(await refusalOf(answer)).toMatchObject({ code: "run-taken", faults: [] });
  }
  expect(dump()).toBe(before);
});

test("[open-route 1] a run of a procedure that the hub lacks is not opened", async () => {
  const { ask, dump } = await aHub();
  const before = dump();
  const json = await openJson(theOpener(), "0".repeat(64) as Identity);
  const answer = await ask("POST", "/api/runs", { json });
  expect(answer.status).toBe(404);
  expect(await refusalOf(answer)).toMatchObject({ code: "procedure-unknown" });
  expect(dump()).toBe(before);
});

test("[join-route 1] a code lets a device in however it is typed, and answers it again", async () => {
  const testHub = await aHub();
  const director = await openRun(testHub);
  const asked = { role: "crew", lane: "ev1" } as const;
  const invitation = await testHub.ask("POST", `/api/runs/${run}/invitations`, {
    token: director.token,
    json: asked,
  });
  const { value } = readInviteAnswer(await invitation.json());
  expect(value?.expiresAtMs).toBe(testHub.clock.nowMs() + 600_000);
  const code = value?.code ?? "";
  const tablet = await aDevice();
  const typed = code.toLowerCase().replace("-", " ");
  const first = await testHub.ask("POST", "/api/join", { json: await joinJson(tablet, typed) });
  const { value: joined } = readJoinAnswer(await first.json());
  const { procedure } = testHub;
  expect(joined).toEqual({ run, title: "Monday", procedure, ...asked });
  testHub.clock.pass(3_600_000);
  const before = testHub.dump();
  const again = await testHub.ask("POST", "/api/join", { json: await joinJson(tablet, code) });
  expect(await again.json()).toEqual(joined);
  expect(testHub.dump()).toBe(before);
});

test("[join-route 1] used, expired and unknown codes are refused, each with its reason", async () => {
  const testHub = await aHub();
  const director = await openRun(testHub);
  const used = await invite(testHub, director, { role: "observer", lane: null });
  await testHub.ask("POST", "/api/join", { json: await joinJson(await aDevice(), used) });
  const late = await invite(testHub, director, { role: "observer", lane: null });
  testHub.clock.pass(600_000);
  const before = testHub.dump();
  const cases = [
    { code: used, status: 410, refused: "code-used" },
    { code: late, status: 410, refused: "code-expired" },
    { code: "XXXX-XXXX", status: 404, refused: "code-unknown" },
    { code: "not a code", status: 404, refused: "code-unknown" },
  ];
  for (const { code, status, refused } of cases) {
    const json = await joinJson(await aDevice(), code);
    const answer = await testHub.ask("POST", "/api/join", { json });
    expect(answer.status).toBe(status);
    const refusal = await refusalOf(answer);
    expect(refusal.code).toBe(refused);
    expect(refusal.mend).toMatch(/code/);
  }
  expect(testHub.dump()).toBe(before);
});

test("[join-route 2] [limits 3] who tries too many wrong codes must wait, and may then go on", async () => {
  const testHub = await aHub();
  const director = await openRun(testHub);
  const code = await invite(testHub, director, { role: "observer", lane: null });
  const guesser = await aDevice();
  const tryCode = async (typed: string) =>
    testHub.ask("POST", "/api/join", { json: await joinJson(guesser, typed) });
  for (let attempt = 0; attempt < 10; attempt += 1) {
    expect((await tryCode("XXXX-XXXX")).status).toBe(404);
  }
  const refused = await tryCode(code);
  expect(refused.status).toBe(429);
  const waitSeconds = Number(refused.headers.get("retry-after"));
  expect(await refusalOf(refused)).toMatchObject({ code: "rate-limited" });
  testHub.clock.pass(waitSeconds * 1000);
  expect((await tryCode(code)).status).toBe(200);
});

test("[authenticate 1] only a director invites, and only to a position that there is", async () => {
  const testHub = await aHub();
  const director = await openRun(testHub);
  const crew = await letIn(testHub, director, { role: "crew", lane: "ev1" });
  const before = testHub.dump();
  const path = `/api/runs/${run}/invitations`;
  const byCrew = await testHub.ask("POST", path, {
    token: crew.token,
    json: { role: "director", lane: null },
  });
  expect(byCrew.status).toBe(403);
  expect(await refusalOf(byCrew)).toMatchObject({ code: "role-wrong" });
  const cases = [
    { json: { role: "crew", lane: "ev9" }, path: "/lane", code: "lane-unknown" },
    { json: { role: "crew", lane: null }, path: "/lane", code: "lane-missing" },
    { json: { role: "observer", lane: "ev1" }, path: "/lane", code: "lane-not-for-role" },
    { json: { role: "captain", lane: null }, path: "/role", code: "not-in-list" },
    { json: { role: "crew" }, path: "", code: "missing-member" },
  ];
  for (const { json, ...fault } of cases) {
    const answer = await testHub.ask("POST", path, { token: director.token, json });
    expect(answer.status).toBe(400);
    const refusal = await refusalOf(answer);
    expect(refusal.code).toBe("body-malformed");
    expect(refusal.faults).toMatchObject([fault]);
  }
  expect(testHub.dump()).toBe(before);
});

test("[storage 9] directors see who waits to be named in the record, others do not", async () => {
  const testHub = await aHub();
  const director = await openRun(testHub);
  const crew = await letIn(testHub, director, { role: "crew", lane: "ev1" });
  const named = { kind: "device.joined", joined: crew.device, role: "crew" } as const;
  const joining = { ...named, lane: null, deviceName: "Tablet" };
  await push(testHub, crew, crew.write(joining));
  const { admissions } = await pull(testHub, director);
  expect(admissions).toMatchObject([{ device: crew.device, role: "crew", lane: "ev1" }]);
  expect((await pull(testHub, crew)).admissions).toEqual([]);
  await push(testHub, director, director.write(joining));
  expect((await pull(testHub, director)).admissions).toEqual([]);
});

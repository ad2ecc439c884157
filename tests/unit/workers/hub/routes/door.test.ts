// Opening, inviting and joining.

import { expect, test } from "vitest";
import type { Identity } from "../../../../../machines/procedure/ids.ts";
import { readInviteAnswer } from "../../../../../machines/sync/invite.ts";
import { readJoinAnswer } from "../../../../../machines/sync/join.ts";
import { readOpenAnswer } from "../../../../../machines/sync/open.ts";
import { sha256Hex } from "../../../../../workers/keys/sha-256.ts";
import { signText } from "../../../../../workers/keys/sign-text.ts";
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

test("[open 1] [open-route 2] only the device that the run's id names opens it, and proves it", async () => {
  const { ask, procedure, dump } = await aHub();
  const before = dump();
  const stranger = await aDevice();
  const opener = theOpener();
  const own = await openJson(opener, procedure);
  const wrong = { status: 401, code: "proof-wrong" };
  const cases = [
    { json: await openJson(stranger, procedure), status: 403, code: "root-wrong" },
    { json: { ...(await openJson(stranger, procedure)), device: opener.device }, ...wrong },
    { json: { ...own, key: stranger.key.publicKey }, ...wrong },
    { json: { ...own, token: createToken() }, ...wrong },
    {
      json: { ...own, recovery: { device: stranger.device, codeDigest: "0".repeat(64) } },
      ...wrong,
    },
    { json: { ...own, proof: await signText(opener.key.privateKey, "anything") }, ...wrong },
  ];
  for (const { json, status, code } of cases) {
    const answer = await ask("POST", "/api/runs", { json });
    expect([answer.status, (await refusalOf(answer)).code]).toEqual([status, code]);
  }
  expect(dump()).toBe(before);
});

test("[join-route 3] who has not the key of its id is not let in, and its code stays good", async () => {
  const testHub = await aHub();
  const director = await openRun(testHub);
  const code = await invite(testHub, director, { role: "observer", lane: null });
  const [tablet, thief] = [await aDevice(), await aDevice()];
  const own = await joinJson(tablet, code);
  const forged = await joinJson(thief, code);
  const before = testHub.dump();
  for (const json of [
    { ...forged, device: tablet.device },
    { ...forged, device: tablet.device, key: tablet.key.publicKey },
    { ...own, token: createToken() },
    { ...own, code: "XXXX-XXXX" },
  ]) {
    const answer = await testHub.ask("POST", "/api/join", { json });
    expect(answer.status).toBe(401);
    expect(await refusalOf(answer)).toMatchObject({ code: "proof-wrong" });
  }
  expect(testHub.dump()).toBe(before);
  expect((await testHub.ask("POST", "/api/join", { json: own })).status).toBe(200);
});

test("[storage 9] the holder of the recovery code comes in as a director, a long time after", async () => {
  const testHub = await aHub();
  const { ask, procedure, clock } = testHub;
  const spare = await aDevice();
  const code = "BCDFGHJKLMNPQRSTVWXZ";
  const recovery = { device: spare.device, codeDigest: sha256Hex(code) };
  const json = await openJson(theOpener(), procedure, { recovery });
  expect((await ask("POST", "/api/runs", { json })).status).toBe(200);
  clock.pass(90 * 24 * 3_600_000);
  const joining = await joinJson(spare, "bcdfg-hjklm-npqrs-tvwxz");
  const answer = await ask("POST", "/api/join", { json: joining });
  expect(await answer.json()).toMatchObject({ run, role: "director", lane: null });
  await push(testHub, spare, spare.write({ kind: "run.closed" }));
  expect(await testHub.hub.storage.readRun(run)).toMatchObject({ isClosed: true });
  expect((await pull(testHub, spare)).admissions).toEqual([]);
});

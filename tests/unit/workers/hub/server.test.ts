// What holds for all answers of the hub.

import { gunzipSync } from "node:zlib";
import { expect, test } from "vitest";
import { protocolVersion } from "../../../../machines/sync/protocol-version.ts";
import { createHubApp } from "../../../../workers/hub/server.ts";
import type { RecordStorage } from "../../../../workers/hub/storage/record-storage.ts";
import { StorageFailedError } from "../../../../workers/hub/storage/storage-failed-error.ts";
import {
  aDevice,
  aHub,
  entriesOfSegment,
  invite,
  joinJson,
  letIn,
  openRun,
  putAppFile,
  push,
  refusalOf,
  run,
} from "./a-hub.ts";
import { note, notes } from "./incoming-entries.ts";

const acceptsGzip = { headers: { "accept-encoding": "gzip" } };

test("[server 2] large answers are packed for who accepts it, small ones and the stream are not", async () => {
  const testHub = await aHub();
  const director = await openRun(testHub);
  const { token } = director;
  const path = `/api/runs/${run}/entries`;
  const small = await testHub.ask("GET", path, { token, ...acceptsGzip });
  expect(small.headers.get("content-encoding")).toBeNull();
  await push(testHub, director, director.write(...notes(50)));
  const packed = await testHub.ask("GET", path, { token, ...acceptsGzip });
  expect(packed.headers.get("content-encoding")).toBe("gzip");
  const text = gunzipSync(Buffer.from(await packed.arrayBuffer())).toString();
  const { segments } = JSON.parse(text) as { segments: unknown[] };
  expect(segments.flatMap(entriesOfSegment)).toHaveLength(50);
  const plain = await testHub.ask("GET", path, { token });
  expect(plain.headers.get("content-encoding")).toBeNull();
  const streamPath = `/api/runs/${run}/stream`;
  const stream = await testHub.ask("GET", streamPath, { token, ...acceptsGzip });
  expect(stream.headers.get("content-encoding")).toBeNull();
  await stream.body?.cancel();
});

test("[server 3] every answer carries the headers that keep strangers out", async () => {
  const testHub = await aHub();
  putAppFile(testHub, "index.html", "<!doctype html>");
  for (const path of ["/", "/api/procedures", "/api/none", "/gone.js", "/healthz", "/metrics"]) {
    const { headers } = await testHub.ask("GET", path);
    const policy = headers.get("content-security-policy") ?? "";
    expect(policy, path).toMatch(/default-src 'none'; script-src 'self'; style-src 'self'/);
    expect(policy, path).not.toMatch(/unsafe|https?:|\*/);
    expect(headers.get("x-content-type-options"), path).toBe("nosniff");
    expect(headers.get("referrer-policy"), path).toBe("no-referrer");
    expect(headers.get("permissions-policy"), path).toMatch(/^camera=\(self\), microphone=\(\)/);
    expect(headers.get("set-cookie"), path).toBeNull();
    expect(headers.get("access-control-allow-origin"), path).toBeNull();
  }
});

test("[server 1] the API says which version of the wire it speaks", async () => {
  const { ask } = await aHub();
  const answer = await ask("GET", "/api/procedures");
  expect(answer.headers.get("lanehold-protocol")).toBe(String(protocolVersion));
  expect(answer.headers.get("cache-control")).toBe("no-store");
  const refused = await ask("GET", "/api/procedures", { headers: { "lanehold-protocol": "9" } });
  expect(refused.headers.get("lanehold-protocol")).toBe(String(protocolVersion));
  expect((await refusalOf(refused)).says).toContain("version 9");
});

test("[server 4] a disk that fails is told apart from a fault of the hub, and neither tells the inside", async () => {
  const testHub = await aHub();
  const cases = [
    { cause: new StorageFailedError(new Error("database or disk is full")), status: 503 },
    { cause: new TypeError("secret inside"), status: 500 },
  ];
  for (const { cause, status } of cases) {
    const storage: RecordStorage = {
      ...testHub.hub.storage,
      listProcedures: () => Promise.reject(cause),
    };
    const app = createHubApp({ ...testHub.hub, storage });
    const headers = { "lanehold-protocol": String(protocolVersion) };
    const answer = await app.request("/api/procedures", { headers }, {});
    expect(answer.status).toBe(status);
    const refusal = await refusalOf(answer);
    expect(refusal.code).toBe(status === 503 ? "storage-failed" : "hub-failed");
    expect(JSON.stringify(refusal)).not.toMatch(/secret|full/);
    expect(testHub.logLines.some((line) => line.includes(cause.message))).toBe(true);
  }
});

test("[log 1] no token, code or text of an entry is ever logged", async () => {
  const testHub = await aHub();
  const director = await openRun(testHub);
  const code = await invite(testHub, director, { role: "observer", lane: null });
  const guest = await aDevice();
  await testHub.ask("POST", "/api/join", { json: await joinJson(guest, code) });
  await testHub.ask("POST", "/api/join", { json: await joinJson(await aDevice(), code) });
  await push(testHub, guest, guest.write(note("what the crew said")));
  await testHub.ask("GET", `/api/runs/${run}/entries?after=x`, { token: director.token });
  const all = testHub.logLines.join("");
  expect(testHub.logLines.length).toBeGreaterThan(5);
  for (const secret of [director.token, guest.token, code, code.replace("-", ""), "crew said"]) {
    expect(all).not.toContain(secret);
  }
  expect(testHub.logLines.map((line) => typeof JSON.parse(line))).not.toContain("string");
});

test("[storage 10] no token and no code is in the hub's file", async () => {
  const testHub = await aHub();
  const director = await openRun(testHub);
  const code = await invite(testHub, director, { role: "observer", lane: null });
  const guest = await letIn(testHub, director, { role: "observer" });
  const dump = testHub.dump();
  for (const secret of [director.token, guest.token, code, code.replace("-", "")]) {
    expect(dump).not.toContain(secret);
  }
});

test("[authenticate 2] every word of a device is noted with its time", async () => {
  const testHub = await aHub();
  const director = await openRun(testHub);
  testHub.clock.pass(5_000);
  await testHub.ask("GET", `/api/runs/${run}/inject-script`, { token: director.token });
  expect(await testHub.hub.storage.readLastHeardMs(run as never)).toEqual({
    [director.device]: testHub.clock.nowMs(),
  });
});

test("[metrics 1] requests, refusals and entries are counted", async () => {
  const testHub = await aHub();
  const director = await openRun(testHub);
  await push(testHub, director, director.write(...notes(3)));
  await testHub.ask("GET", "/api/runs/unheard-of/entries");
  expect((await testHub.ask("GET", "/healthz")).status).toBe(200);
  const text = await (await testHub.ask("GET", "/metrics")).text();
  expect(text).toContain('lanehold_requests_total{route="push",status="200"} 1\n');
  expect(text).toContain('lanehold_refusals_total{code="run-unknown"} 1\n');
  expect(text).toContain("lanehold_entries_taken_total 3\n");
  expect(text).toContain("lanehold_stored_entries 3\n");
  expect(text).not.toContain("unheard-of");
});

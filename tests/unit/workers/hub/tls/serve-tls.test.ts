// A hub that serves TLS, over real sockets, asked by Node's own TLS client, which verifies the chain.

import { spawn } from "node:child_process";
import { once } from "node:events";
import { readFileSync, rmSync, writeFileSync } from "node:fs";
import type { IncomingHttpHeaders } from "node:http";
import { request as plainRequest } from "node:http";
import { request } from "node:https";
import { join } from "node:path";
import { connect } from "node:tls";
import { expect, onTestFinished, test } from "vitest";
import { systemClock } from "../../../../../workers/hub/clock.ts";
import type { Clock } from "../../../../../workers/hub/clock.ts";
import { createLog } from "../../../../../workers/hub/log.ts";
import { warnDays } from "../../../../../workers/hub/standing.ts";
import { startHub } from "../../../../../workers/hub/start-hub.ts";
import { CertificateWrongError } from "../../../../../workers/hub/tls/certificate-wrong-error.ts";
import {
  authorityFiles,
  leafDays,
  makeAuthority,
  renewLeaf,
} from "../../../../../workers/hub/tls/make-authority.ts";
import { aConfig } from "../a-config.ts";
import { handClock } from "../hand-clock.ts";
import { aFolder, openssl } from "./a-folder.ts";

const names = ["localhost", "127.0.0.1"];
const nothing = { procedures: [], injectScripts: [] };
const dayMs = 86_400_000;

async function secureHub(clock: Clock = systemClock) {
  const folder = join(aFolder(), "tls");
  makeAuthority(folder, names, clock.nowMs());
  const { authorityKeyFile, ...files } = authorityFiles(folder);
  const authorityKey = readFileSync(authorityKeyFile);
  rmSync(authorityKeyFile);
  const logLines: string[] = [];
  const log = createLog("info", clock, (line) => logLines.push(line));
  const config = aConfig({ tls: { ...files, httpPort: 0 } });
  const hub = await startHub(config, nothing, { clock, log });
  onTestFinished(hub.stop);
  const ca = readFileSync(files.authorityFile);
  const ask = (path: string) => askSecurely(new URL(path, hub.address), ca);
  return { ...hub, ...files, folder, authorityKeyFile, authorityKey, logLines, ca, ask };
}

type Answer = {
  readonly status: number;
  readonly headers: IncomingHttpHeaders;
  readonly body: Buffer;
};

async function askSecurely(url: URL, ca: Buffer): Promise<Answer> {
  return answerTo(request(url, { ca, agent: false }));
}

async function askPlainly(url: URL, method = "GET", host = ""): Promise<Answer> {
  const headers = host === "" ? {} : { host };
  return answerTo(plainRequest(url, { method, agent: false, headers }));
}

async function answerTo(asking: ReturnType<typeof request>): Promise<Answer> {
  asking.end();
  const [answer] = await once(asking, "response");
  const chunks: Buffer[] = [];
  for await (const chunk of answer) chunks.push(chunk);
  return { status: answer.statusCode, headers: answer.headers, body: Buffer.concat(chunks) };
}

/** What openssl says is the certificate's. */
function fingerprintOf(file: string, form: string): string {
  return openssl("x509", "-in", file, "-inform", form, "-noout", "-fingerprint", "-sha256").says;
}

/** When the certificate ends that the hub shows now. */
async function endShown(address: string, ca: Buffer): Promise<string> {
  const { hostname, port } = new URL(address);
  const socket = connect({ host: hostname, port: Number(port), ca });
  await once(socket, "secureConnect");
  const { valid_to: end } = socket.getPeerCertificate();
  socket.destroy();
  return end;
}

test("[issue 2] who trusts the authority is let in by each name, and who does not, is not", async () => {
  const { address, ask, ca } = await secureHub();
  expect(address).toMatch(/^https:/);
  expect((await ask("/healthz")).body.toString()).toBe("ok\n");
  const byName = new URL("/healthz", address.replace("127.0.0.1", "localhost"));
  expect((await askSecurely(byName, ca)).status).toBe(200);
  await expect(askPlainly(new URL(address.replace("https", "http")))).rejects.toThrow();
  const elsewhere = readFileSync((await secureHub()).authorityFile);
  await expect(askSecurely(new URL(address), elsewhere)).rejects.toThrow(/unable to verify/);
});

test("[issue 2] openssl's own client takes the hub, and nothing older than TLS 1.2", async () => {
  const { address, authorityFile } = await secureHub();
  const { host } = new URL(address);
  const client = (...more: readonly string[]) =>
    spawnClient(["s_client", "-connect", host, "-CAfile", authorityFile, "-brief", ...more]);
  const taken = await client("-verify_return_error", "-verify_ip", "127.0.0.1");
  expect(taken).toContain("Verification: OK");
  expect(taken).toMatch(/Protocol version: TLSv1\.[23]/);
  const old = await client("-tls1_1", "-cipher", "ALL:@SECLEVEL=0");
  expect(old).not.toContain("CONNECTION ESTABLISHED");
});

test("[trust 1] the authority's certificate is served, and nothing else of it", async () => {
  const { ask, authorityFile, folder, trustAddress } = await secureHub();
  const path = "/trust/authority.crt";
  const overTls = await ask(path);
  const plain = await askPlainly(new URL(path, trustAddress ?? ""));
  for (const { headers, body } of [overTls, plain]) {
    expect(headers["content-type"]).toBe("application/x-x509-ca-cert");
    const file = join(folder, "fetched.crt");
    writeFileSync(file, body);
    expect(fingerprintOf(file, "DER")).toBe(fingerprintOf(authorityFile, "PEM"));
  }
});

test("[trust 1] the page shows the fingerprint and the steps, and needs no script", async () => {
  const { trustAddress, authorityFile } = await secureHub();
  const { headers, body } = await askPlainly(new URL("/trust", trustAddress ?? ""));
  const text = body.toString();
  expect(fingerprintOf(authorityFile, "PEM")).toContain(
    /<code>([0-9A-F:]{95})<\/code>/.exec(text)?.[1],
  );
  for (const device of ["iPad", "Android", "Windows", "macOS"]) expect(text).toContain(device);
  expect(text).not.toContain("<script");
  expect(headers["content-security-policy"]).toContain("default-src 'none'");
});

test("[trust 2] a hub without an authority of its own says that nothing need be done", async () => {
  const log = createLog("error", systemClock, () => undefined);
  const hub = await startHub(aConfig(), nothing, { clock: systemClock, log });
  onTestFinished(hub.stop);
  expect((await askPlainly(new URL("/trust", hub.address))).body.toString()).toMatch(
    /Nothing need/,
  );
  expect((await askPlainly(new URL("/trust/authority.crt", hub.address))).status).toBe(404);
  expect(hub.reload).toBeNull();
});

test("[plain-door 1] [plain-door 2] plain HTTP leads to TLS, and takes nothing secret", async () => {
  const { address, trustAddress } = await secureHub();
  const door = new URL(trustAddress ?? "");
  const { port } = new URL(address);
  const page = await askPlainly(new URL("/run/x?y=1", door), "GET", "localhost:1234");
  expect(page.status).toBe(307);
  expect(page.headers.location).toBe(`https://localhost:${port}/run/x?y=1`);
  const foreign = await askPlainly(door, "GET", "elsewhere.example.org");
  expect(foreign.headers.location).toBe(`https://localhost:${port}/`);
  for (const [method, path] of [
    ["POST", "/api/join"],
    ["GET", "/api/procedures"],
    ["PUT", "/trust"],
  ] as const) {
    const refused = await askPlainly(new URL(path, door), method);
    expect(refused.status, path).toBe(403);
    expect(JSON.parse(refused.body.toString())).toMatchObject({ code: "not-secure" });
  }
  for (const path of ["/healthz", "/metrics", "/index.html"])
    expect((await askPlainly(new URL(path, door))).status, path).toBe(307);
});

test("[keep-certificate 1] a renewed certificate is taken while the hub runs, a wrong one is not", async () => {
  const { reload, address, ca, logLines, ...made } = await secureHub();
  const before = await endShown(address, ca);
  const key = readFileSync(made.keyFile);
  writeFileSync(made.authorityKeyFile, made.authorityKey);
  renewLeaf(made.folder, Date.now() + 3_600_000);
  reload?.();
  const after = await endShown(address, ca);
  expect(Date.parse(after) - Date.parse(before)).toBeGreaterThan(3_000_000);
  writeFileSync(made.keyFile, key);
  reload?.();
  expect(logLines.join("")).toMatch(/certificate\.refused.*not that of the certificate/);
  expect(await endShown(address, ca)).toBe(after);
  expect(logLines.join("")).toMatch(/certificate\.doubted.*authority\.key off this machine/);
});

test("[keep-certificate 2] [health 1] a certificate near its end is warned of everywhere", async () => {
  // Half a second past a whole one, since certificates end at whole seconds.
  const clock = handClock(Math.floor(Date.now() / 1000) * 1000 + 500);
  const { ask, logLines } = await secureHub(clock);
  const warnings = () => logLines.filter((line) => line.includes("certificate.ending"));
  const end = async () => {
    const text = (await ask("/metrics")).body.toString();
    return Number(/^lanehold_certificate_end_seconds (\d+)/m.exec(text)?.[1]);
  };
  expect((await end()) - clock.nowMs() / 1000).toBeCloseTo((leafDays - 1) * 86_400, -1);
  clock.pass((leafDays - 2 - warnDays) * dayMs);
  expect(warnings()).toEqual([]);
  expect((await ask("/healthz")).body.toString()).toBe("ok\n");
  clock.pass(3 * dayMs);
  const days = [warnDays - 1, warnDays - 2, warnDays - 3];
  expect(warnings().map((line) => JSON.parse(line))).toMatchObject(
    days.map((daysLeft) => ({ level: "warn", daysLeft })),
  );
  const health = await ask("/healthz");
  expect(health.status).toBe(200);
  expect(health.body.toString()).toBe(`ok\ncertificate: ${warnDays - 3} days left\n`);
});

test("[load-certificate 1] a hub whose certificate has ended does not start, and lets its folder go", async () => {
  const folder = join(aFolder(), "tls");
  makeAuthority(folder, names, Date.now() - (leafDays + 1) * dayMs);
  const config = aConfig({ tls: { ...authorityFiles(folder), httpPort: null } });
  const log = createLog("error", systemClock, () => undefined);
  const starting = startHub(config, nothing, { clock: systemClock, log });
  await expect(starting).rejects.toThrow(CertificateWrongError);
  const plain = await startHub({ ...config, tls: null }, nothing, { clock: systemClock, log });
  await plain.stop();
});

/** What openssl's client prints; it ends by itself since its input does. */
async function spawnClient(args: readonly string[]): Promise<string> {
  const client = spawn("openssl", args, { stdio: ["ignore", "pipe", "pipe"] });
  let text = "";
  for (const stream of [client.stdout, client.stderr])
    stream.on("data", (chunk: Buffer) => (text += chunk.toString()));
  await once(client, "close");
  return text;
}

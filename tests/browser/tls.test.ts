// A browser that was made to trust the hub's own authority has a service worker over TLS; one that was
// not, and one that is shown a certificate beyond the authority's names, is kept out by the browser itself.

import { spawnSync } from "node:child_process";
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { createServer } from "node:https";
import type { AddressInfo } from "node:net";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, expect, onTestFinished, test } from "vitest";
import { authorityFiles, makeAuthority } from "../../workers/hub/tls/make-authority.ts";
import { startHub } from "../support/hub-process.ts";
import type { HubProcess } from "../support/hub-process.ts";
import { launchAtHome } from "../support/trusting-browser.ts";

const [host, foreignHost] = ["hub.test", "elsewhere.test"];

let folder: string;
let hub: HubProcess;
let address: string;
let fetchedAuthority: string;

beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), "lanehold-tls-"));
  makeAuthority(folder, [host], Date.now());
  const { certificateFile, keyFile, authorityFile } = authorityFiles(folder);
  hub = await startHub({
    LANEHOLD_TLS_CERT: certificateFile,
    LANEHOLD_TLS_KEY: keyFile,
    LANEHOLD_TLS_AUTHORITY: authorityFile,
    LANEHOLD_HTTP_PORT: "0",
  });
  address = `https://${host}:${new URL(hub.address).port}`;
  // As a person would get it: from the hub, over plain HTTP.
  const trustAddress = /comes to trust it: (\S+)/.exec(hub.printed())?.[1];
  const answer = await fetch(`${trustAddress}/authority.crt`);
  fetchedAuthority = join(folder, "fetched.crt");
  writeFileSync(fetchedAuthority, new Uint8Array(await answer.arrayBuffer()));
});

afterAll(async () => {
  await hub.remove();
  rmSync(folder, { recursive: true, force: true });
});

async function openPage(authorityFile: string | null) {
  const { browser, close } = await launchAtHome(authorityFile, [host, foreignHost]);
  onTestFinished(close);
  return browser.newPage();
}

test("[trust 1] with the authority's certificate from the hub, the app works over TLS, and offline", async () => {
  const page = await openPage(fetchedAuthority);
  await page.goto(`${address}/`);
  const found = await page.evaluate(async () => {
    const { active } = await navigator.serviceWorker.ready;
    return { isSecure: isSecureContext, origin: location.origin, script: active?.scriptURL };
  });
  expect(found).toEqual({
    isSecure: true,
    origin: address,
    script: `${address}/service-worker.js`,
  });
  await page.waitForFunction(() => navigator.serviceWorker.controller?.state === "activated");
  await hub.kill();
  await page.reload();
  await page.getByRole("heading", { level: 1 }).first().waitFor();
  await hub.restart();
});

test("[issue 2] a browser that does not trust the authority is kept out", async () => {
  const page = await openPage(null);
  await expect(page.goto(`${address}/`)).rejects.toThrow(/ERR_CERT_AUTHORITY_INVALID/);
});

test("[issue 1] a browser that trusts the authority takes nothing of it for another name", async () => {
  const page = await openPage(fetchedAuthority);
  // The same server with the same sort of certificate, for a name within and for one beyond.
  const within = await serveAs(host);
  expect((await page.goto(within))?.status()).toBe(200);
  const beyond = await serveAs(foreignHost);
  await expect(page.goto(beyond)).rejects.toThrow(/ERR_CERT_/);
});

/** A server with a certificate that openssl made with the authority's key, however it came by it. */
async function serveAs(name: string): Promise<string> {
  const { authorityFile, authorityKeyFile } = authorityFiles(folder);
  const [key, request, leaf, extensions] = ["key", "csr", "crt", "ext"].map((end) =>
    join(folder, `${name}.${end}`),
  ) as [string, string, string, string];
  writeFileSync(extensions, `subjectAltName=DNS:${name}\nextendedKeyUsage=serverAuth\n`);
  const curve = ["-newkey", "ec", "-pkeyopt", "ec_paramgen_curve:prime256v1", "-nodes"];
  openssl("req", ...curve, "-subj", "/CN=foreign leaf", "-keyout", key, "-out", request);
  const by = ["-CA", authorityFile, "-CAkey", authorityKeyFile, "-CAcreateserial", "-days", "30"];
  openssl("x509", "-req", "-in", request, ...by, "-extfile", extensions, "-out", leaf);
  const options = { cert: readFileSync(leaf), key: readFileSync(key) };
  const server = createServer(options, (_, answer) => answer.end("here"));
  onTestFinished(() => {
    server.closeAllConnections();
    server.close();
  });
  await new Promise<void>((resolve) => {
    server.listen(0, "127.0.0.1", resolve);
  });
  return `https://${name}:${(server.address() as AddressInfo).port}/`;
}

function openssl(...args: readonly string[]): void {
  const { status, stderr } = spawnSync("openssl", args, { encoding: "utf8" });
  if (status !== 0) throw new Error(`openssl ${args.join(" ")}: ${stderr}`);
}

// The built app, as the hub serves it.

import { writeFileSync } from "node:fs";
import { join } from "node:path";
import { expect, test } from "vitest";
import { aHub, putAppFile, refusalOf } from "../a-hub.ts";
import type { TestHub } from "../a-hub.ts";

const html = { headers: { accept: "text/html,*/*" } };

async function hubWithApp(): Promise<TestHub> {
  const testHub = await aHub();
  putAppFile(testHub, "index.html", "<!doctype html><title>Lanehold</title>");
  putAppFile(testHub, "assets/main-B3d_9fQ2.js", "export {};");
  putAppFile(testHub, "service-worker.js", "// worker");
  putAppFile(testHub, "manifest.webmanifest", "{}");
  return testHub;
}

test("[static 2] digested files are kept for ever, all others asked for anew", async () => {
  const { ask } = await hubWithApp();
  const cases = [
    ["/assets/main-B3d_9fQ2.js", "text/javascript; charset=utf-8", /immutable/],
    ["/", "text/html; charset=utf-8", /^no-cache$/],
    ["/index.html", "text/html; charset=utf-8", /^no-cache$/],
    ["/service-worker.js", "text/javascript; charset=utf-8", /^no-cache$/],
    ["/manifest.webmanifest", "application/manifest+json", /^no-cache$/],
  ] as const;
  for (const [path, type, caching] of cases) {
    const answer = await ask("GET", path);
    expect(answer.status, path).toBe(200);
    expect(answer.headers.get("content-type"), path).toBe(type);
    expect(answer.headers.get("cache-control"), path).toMatch(caching);
  }
  const worker = await ask("GET", "/service-worker.js");
  expect(worker.headers.get("service-worker-allowed")).toBe("/");
});

test("[static 2] a file that did not change is not sent again", async () => {
  const { ask } = await hubWithApp();
  const tag = (await ask("GET", "/")).headers.get("etag") ?? "";
  const again = await ask("GET", "/", { headers: { "if-none-match": tag } });
  expect(again.status).toBe(304);
  expect(await again.text()).toBe("");
});

test("[static 3] a page that is no file gets the app; a file that is missing gets 404", async () => {
  const { ask } = await hubWithApp();
  const page = await ask("GET", "/runs/run-1/lane", html);
  expect(await page.text()).toContain("<title>Lanehold</title>");
  for (const path of ["/assets/gone-12345678.js", "/favicon.ico"]) {
    const missing = await ask("GET", path, html);
    expect(missing.status).toBe(404);
    expect(await refusalOf(missing)).toMatchObject({ code: "file-unknown" });
  }
  expect((await ask("GET", "/runs/run-1", { headers: { accept: "*/*" } })).status).toBe(404);
});

test("[static 3] a hub without its app says so", async () => {
  const { ask } = await aHub();
  const answer = await ask("GET", "/", html);
  expect(answer.status).toBe(503);
  expect(await refusalOf(answer)).toMatchObject({ code: "app-missing" });
});

test("[static 1] no path leads out of the app's folder", async () => {
  const testHub = await hubWithApp();
  writeFileSync(join(testHub.hub.appFolder, "..", "secret.txt"), "secret");
  writeFileSync(`${testHub.hub.appFolder}-beside.txt`, "secret");
  for (const path of [
    "/../secret.txt",
    "/%2e%2e/secret.txt",
    "/..%2fsecret.txt",
    "/assets/..%2f..%2fsecret.txt",
    "/..%5csecret.txt",
    "/../app-beside.txt",
    "/%00",
    "/%zz",
    "/hub.sqlite",
    "/..%2fhub.sqlite",
  ]) {
    const answer = await testHub.ask("GET", path);
    expect(answer.status, path).toBe(404);
    expect(await answer.text(), path).not.toContain("secret\n");
  }
});

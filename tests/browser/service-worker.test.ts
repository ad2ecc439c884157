// The service worker in a real browser: the app without a hub, and a new version that waits.

import { appendFileSync, cpSync, mkdtempSync, readdirSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import type { Browser, Page } from "playwright-core";
import { afterAll, beforeAll, expect, test } from "vitest";
import { launchBrowser, openContext } from "../support/chromium.ts";
import { startHub } from "../support/hub-process.ts";
import type { HubProcess } from "../support/hub-process.ts";
import { projectFolder } from "../support/source-files.ts";

const patient = { timeout: 30_000 };

let browser: Browser;
let hub: HubProcess;
let appFolder: string;

beforeAll(async () => {
  appFolder = mkdtempSync(join(tmpdir(), "lanehold-app-"));
  cpSync(join(projectFolder, "dist/app"), appFolder, { recursive: true });
  process.env["LANEHOLD_APP"] = appFolder;
  hub = await startHub();
  browser = await launchBrowser();
});

afterAll(async () => {
  await browser.close();
  await hub.remove();
  delete process.env["LANEHOLD_APP"];
  rmSync(appFolder, { recursive: true });
});

async function openPage(): Promise<Page> {
  const context = await openContext(browser);
  const page = await context.newPage();
  await page.goto(hub.address);
  await page.waitForFunction(() => navigator.serviceWorker.controller?.state === "activated");
  return page;
}

test("[service 1] every file of the app is stored at the first visit", async () => {
  const page = await openPage();
  const stored = await page.evaluate(async () => {
    const paths: string[] = [];
    for (const name of await caches.keys()) {
      const requests = await (await caches.open(name)).keys();
      paths.push(...requests.map((request) => new URL(request.url).pathname));
    }
    return paths;
  });
  const files = readdirSync(appFolder, { recursive: true, withFileTypes: true })
    .filter((file) => file.isFile() && file.name !== "service-worker.js")
    .map((file) => join(file.parentPath, file.name).slice(appFolder.length));
  expect(stored.toSorted()).toEqual(files.toSorted());
});

test("[service 1] without a hub the app opens, and the hub's API is not made up", async () => {
  const page = await openPage();
  await page.getByRole("heading", { level: 1 }).first().waitFor();
  const words = await page.title();
  await hub.kill();
  await page.goto(`${hub.address}/#/about`);
  await page.reload();
  await page.locator("main").waitFor();
  expect(await page.title()).toBe(words);
  const answer = await page.evaluate(() =>
    fetch("/api/procedures").then(
      (response) => response.status,
      () => "no answer",
    ),
  );
  expect(answer).toBe("no answer");
  await hub.restart();
});

test("[service 2] a new version waits over a reload, and takes over when it is told to", async () => {
  const page = await openPage();
  appendFileSync(join(appFolder, "service-worker.js"), "\n// another version\n");
  const state = (): Promise<{ waiting: boolean; sameController: boolean }> =>
    page.evaluate(async () => {
      const registration = await navigator.serviceWorker.ready;
      const { controller } = navigator.serviceWorker;
      const sameController = controller !== null && controller === registration.active;
      return { waiting: registration.waiting !== null, sameController };
    });
  await page.evaluate(async () => {
    await (await navigator.serviceWorker.ready).update();
  });
  // Not `waitForFunction`, which takes the promise of an async function for a yes.
  await expect.poll(() => state(), patient).toEqual({ waiting: true, sameController: true });
  await page.reload();
  await page.locator("main").waitFor();
  expect(await state()).toEqual({ waiting: true, sameController: true });
  await page.evaluate(async () => {
    const changed = new Promise<void>((resolve) => {
      navigator.serviceWorker.addEventListener("controllerchange", () => resolve());
    });
    (await navigator.serviceWorker.ready).waiting?.postMessage({ type: "update.take" });
    await changed;
  });
  await expect.poll(() => state(), patient).toEqual({ waiting: false, sameController: true });
});

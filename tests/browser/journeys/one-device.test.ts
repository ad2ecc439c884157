// One device and what befalls it: no network from the first visit on, two windows, a browser that is
// closed, a store that is full, files that are damaged.

import { readFileSync } from "node:fs";
import type { Browser, BrowserContext, Page } from "playwright-core";
import { afterAll, afterEach, beforeAll, beforeEach, expect, test } from "vitest";
import { createProfile, launchBrowser, openContext } from "../../support/chromium.ts";
import { startHub } from "../../support/hub-process.ts";
import type { HubProcess } from "../../support/hub-process.ts";
import { exportedRecord } from "../pages/debrief.page.ts";
import { goToScreen, openDevice, waitUntilSent } from "../pages/device.page.ts";
import type { Device } from "../pages/device.page.ts";
import { takePicture } from "../pages/look-at.page.ts";
import { finishStep, startStep, stepPanel, workGates } from "../pages/lane.page.ts";

const patient = { timeout: 30_000 };

let hub: HubProcess;
let browser: Browser;
let context: BrowserContext;
let device: Device;

beforeAll(async () => {
  hub = await startHub();
  browser = await launchBrowser();
});

afterAll(async () => {
  await browser?.close();
  await hub?.remove();
});

beforeEach(async () => {
  context = await openContext(browser);
  device = await openDevice("Tablet", hub.address, context);
});

afterEach(async () => {
  await context.close();
});

test("after the first visit a whole rehearsal starts and goes on with no network", async () => {
  await context.setOffline(true);
  await device.page.reload();
  await rehearse(device.page);
  await workStep("ev1-01");
  await device.page.reload();
  await stepPanel(device, "ev1-02").waitFor();
  await workGates(device, "ev1-02");
  await context.setOffline(false);
  await waitUntilSent(device);
});

test("two windows of one device share one record", async () => {
  await rehearse(device.page);
  const second: Device = { ...device, page: await context.newPage() };
  await second.page.goto(device.page.url());
  await startStep(second, "ev1-01");
  await finishStep(device, "ev1-01");
  await Promise.all([workGates(second, "ev1-02"), tapHold(device.page)]);
  await tapHold(second.page);
  await expect.poll(() => device.page.locator(".hold-banner [data-hold]").count(), patient).toBe(2);
  await expect.poll(() => second.page.locator(".hold-banner [data-hold]").count(), patient).toBe(2);
  await goToScreen(device, "Debrief");
  const { entries } = await exportedRecord(device);
  const seqs = entries.map(({ seq }) => seq);
  expect(seqs.toSorted((a, b) => a - b)).toEqual(seqs.map((_, at) => at + 1));
});

test("a browser that was closed comes back to the very step", async () => {
  const profile = createProfile();
  const first = await profile.open();
  const tablet = await openDevice("Tablet", hub.address, first);
  await rehearse(tablet.page);
  await startStep(tablet, "ev1-01");
  const place = tablet.page.url();
  await first.close();
  const second = await profile.open();
  try {
    const [page = await second.newPage()] = second.pages();
    await page.goto(place);
    await page
      .locator('[data-step="ev1-01"]')
      .getByRole("button", { name: "Done", exact: true })
      .waitFor();
  } finally {
    await second.close();
    profile.remove();
  }
});

test("a full store refuses the tap, says so, keeps nothing half; and takes it once there is room", async () => {
  const { page } = device;
  await rehearse(page);
  await page.evaluate(fillStore);
  const start = stepPanel(device, "ev1-01").getByRole("button", { name: "Start", exact: true });
  await start.click();
  await page.getByRole("alert").filter({ hasText: "no room left" }).first().waitFor();
  await takePicture(page, "full-store");
  await start.waitFor();
  await page.reload();
  await workStep("ev1-01");
  await goToScreen(device, "Debrief");
  const { entries } = await exportedRecord(device);
  expect(entries.filter(({ body }) => body.kind === "step.started")).toHaveLength(1);
});

test("a damaged procedure file is refused with every fault, and nothing changes", async () => {
  const { page } = device;
  await page.evaluate(() => (location.hash = "#/shelf"));
  const good = readFileSync(
    new URL("../../../workers/hub/demo/first-steps.procedure.json", import.meta.url),
    "utf8",
  );
  const before = await page.getByRole("heading", { name: /revision A/ }).count();
  const damaged: readonly (readonly [text: string, says: RegExp])[] = [
    [good.slice(0, 5_000), /line \d+/],
    [good.replace('"formatVersion": 1', '"formatVersion": 99'), /newer|version/],
    [good.replaceAll('"site": "shelf"', '"site": "nowhere"'), /nowhere/],
    ["[]", /procedure/i],
  ];
  for (const [text, says] of damaged) {
    await page
      .locator('input[type="file"]')
      .first()
      .setInputFiles({
        name: "mine.json",
        mimeType: "application/json",
        buffer: Buffer.from(text),
      });
    const told = page.getByRole("alert").filter({ hasText: "Nothing on this device has changed" });
    await told.waitFor();
    await expect.poll(() => told.innerText(), patient).toMatch(says);
  }
  expect(await page.getByRole("heading", { name: /revision A/ }).count()).toBe(before);
});

test("a code that nobody gave is refused, with what to do", async () => {
  const { page } = device;
  await page.getByRole("button", { name: "Join by QR or code…" }).click();
  const sheet = page.getByRole("dialog");
  await sheet.getByLabel("Code from the director").fill("BCDF-GHJK");
  await sheet.getByRole("button", { name: "Join", exact: true }).click();
  await sheet.getByRole("alert").waitFor();
});

async function rehearse(page: Page): Promise<void> {
  await page.getByRole("button", { name: "Rehearse now" }).click();
  await page.getByRole("button", { name: "Start the run" }).click();
  await page.locator('[data-step="ev1-01"]').waitFor();
}

async function workStep(step: string): Promise<void> {
  await startStep(device, step);
  await finishStep(device, step);
}

async function tapHold(page: Page): Promise<void> {
  await page.getByRole("button", { name: "Hold: unsure" }).click();
}

// From now on until a reload, every write meets what a browser answers when there is no room: headless
// Chromium enforces its quota too late to be waited for.
function fillStore(): void {
  IDBObjectStore.prototype.add = () => {
    throw new DOMException("No room.", "QuotaExceededError");
  };
}

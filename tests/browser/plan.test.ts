// The plan screen: the check runs in a worker of its own, offline too, is cancelled at once, and its
// findings are shown at every size and in both themes.

import type { Browser, Page } from "playwright-core";
import { afterAll, beforeAll, expect, test } from "vitest";
import { aLongPlan } from "../support/a-long-plan.ts";
import { launchBrowser, openContext } from "../support/chromium.ts";
import { startHub } from "../support/hub-process.ts";
import type { HubProcess } from "../support/hub-process.ts";
import { plantFaults, seededFaults } from "../support/seeded-faults.ts";
import { demoProcedure } from "../unit/workers/hub/demo/demo-documents.ts";
import { expectNoComplaints, openDevice } from "./pages/device.page.ts";
import type { Device } from "./pages/device.page.ts";
import {
  listOverflows,
  listTightTargets,
  listViolations,
  takePicture,
} from "./pages/look-at.page.ts";

const sizes = [
  { size: "tablet-wide", width: 1180, height: 820 },
  { size: "tablet-tall", width: 820, height: 1180 },
  { size: "phone", width: 390, height: 844 },
] as const;

let hub: HubProcess;
let browser: Browser;
let device: Device;

beforeAll(async () => {
  hub = await startHub();
  browser = await launchBrowser();
  device = await openDevice("Lead", hub.address, await openContext(browser));
});

afterAll(async () => {
  await browser?.close();
  await hub?.remove();
});

test("the demo comes out without a fault, with no network at all", async () => {
  const { page, context } = device;
  await context.setOffline(true);
  await page.reload();
  await page.getByRole("link", { name: "Check the plan of Petrel Deck" }).click();
  await seeReport(page, 0);
  await page.getByText("No fault was found in the plan as it is written.").first().waitFor();
  await lookAt("plan-sound");
  await context.setOffline(false);
  expectNoComplaints(device);
});

test("the faults planted in it are shown with their places, witnesses and mends", async () => {
  const { page } = device;
  const planted = plantFaults(demoProcedure("petrel-deck"), seededFaults);
  await bringIn(page, { ...planted, title: "Petrel Deck with faults" });
  await page.getByRole("link", { name: "Check the plan of Petrel Deck with faults" }).click();
  const faults = await seeReport(page, null);
  expect(faults).toBeGreaterThanOrEqual(30);
  const first = page.locator(".finding--fault").first();
  await first.getByText("Smallest mend:").waitFor();
  await first.getByText("How it can come to that").click();
  await lookAt("plan-faults");
  expectNoComplaints(device);
});

test("[plan-check 1] a long check leaves the page free, and ends when it is cancelled", async () => {
  const { page } = device;
  await bringIn(page, { ...aLongPlan(600), id: "long-plan", title: "Long plan" });
  await page.getByRole("link", { name: "Check the plan of Long plan" }).click();
  const cancel = page.getByRole("button", { name: "Cancel the check" });
  await cancel.waitFor();
  await expect.poll(() => page.workers().length, { timeout: 20_000 }).toBe(1);
  await takePicture(page, "plan-checking");
  await cancel.click();
  await page.getByText("The check was cancelled. Nothing is said of this plan.").waitFor();
  await expect.poll(() => page.workers().length, { timeout: 20_000 }).toBe(0);
  await page.getByRole("button", { name: "Check again" }).click();
  await expect.poll(() => page.workers().length, { timeout: 20_000 }).toBe(1);
  await page.getByRole("link", { name: "Shelf", exact: true }).click();
  await expect.poll(() => page.workers().length, { timeout: 20_000 }).toBe(0);
});

test("[plan-check 3] a procedure that was damaged in the store is refused in words", async () => {
  const { page } = device;
  await damageStored(page, "Long plan");
  await page.getByRole("link", { name: "Check the plan of Long plan" }).click();
  await page.getByText("What is stored is no procedure that can be checked.").last().waitFor();
  await page.getByText("/steps").first().waitFor();
  expect(await listViolations(page)).toEqual([]);
  await takePicture(page, "plan-damaged");
});

/** Waits for the report. Returns how many faults it counts. */
async function seeReport(page: Page, expected: number | null): Promise<number> {
  const heading = page.getByRole("heading", { name: /^Faults: \d+$/ });
  await heading.waitFor({ timeout: 120_000 });
  const count = Number((await heading.textContent())?.split(" ")[1]);
  if (expected !== null) expect(count).toBe(expected);
  return count;
}

async function bringIn(page: Page, procedure: object): Promise<void> {
  await page.evaluate(() => (location.hash = "#/shelf"));
  await page.locator(".file-way input[accept*=json]").setInputFiles({
    name: "plan.json",
    mimeType: "application/json",
    buffer: Buffer.from(JSON.stringify(procedure)),
  });
  await page.getByText("is on this device.").waitFor();
}

async function damageStored(page: Page, title: string): Promise<void> {
  await page.evaluate(async (title) => {
    const opening = indexedDB.open("lanehold");
    const database = await new Promise<IDBDatabase>((resolve) => {
      opening.addEventListener("success", () => resolve(opening.result));
    });
    const store = database.transaction("procedures", "readwrite").objectStore("procedures");
    const cursor = store.openCursor();
    await new Promise<void>((resolve) => {
      cursor.addEventListener("success", () => {
        const at = cursor.result;
        if (at === null) return resolve();
        if (at.value.procedure.title === title) {
          at.update({ ...at.value, procedure: { ...at.value.procedure, steps: "gone" } });
        }
        at.continue();
      });
    });
    database.close();
  }, title);
}

async function lookAt(name: string): Promise<void> {
  const { page } = device;
  for (const { size, width, height } of sizes) {
    await page.setViewportSize({ width, height });
    for (const theme of ["day", "night"] as const) {
      await page.evaluate((to) => (document.documentElement.dataset["theme"] = to), theme);
      await expect
        .poll(() => listOverflows(page), { message: `${name}, ${size}`, timeout: 20_000 })
        .toEqual([]);
      await takePicture(page, `${name}-${size}-${theme}`);
      expect(await listTightTargets(page), `${name}, ${size}`).toEqual([]);
      if (size === "tablet-wide" || (size === "phone" && theme === "day"))
        expect(await listViolations(page), `${name}, ${size}, ${theme}`).toEqual([]);
    }
  }
}

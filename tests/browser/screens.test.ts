// Every screen, at tablet and phone size and in both themes: a picture of each is kept in
// .build/pictures to be looked at, axe-core finds no violation, and nothing sticks out sideways.

import type { Browser } from "playwright-core";
import { afterAll, beforeAll, expect, test } from "vitest";
import { launchBrowser, openContext } from "../support/chromium.ts";
import { startHub } from "../support/hub-process.ts";
import type { HubProcess } from "../support/hub-process.ts";
import { goToScreen, openDevice } from "./pages/device.page.ts";
import type { Device } from "./pages/device.page.ts";
import { holdEveryone } from "./pages/desk.page.ts";
import { finishStep, startStep, workGates } from "./pages/lane.page.ts";
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
  device = await openDevice("Desk", hub.address, await openContext(browser));
});

afterAll(async () => {
  await browser?.close();
  await hub?.remove();
});

test("shelf and about", async () => {
  await lookAt("shelf", "#/shelf");
  await lookAt("about", "#/about");
});

test("[look 2] a run, from the briefing to the middle, and on hold", async () => {
  const { page } = device;
  await page.evaluate(() => (location.hash = "#/shelf"));
  await page.getByRole("button", { name: "Rehearse now" }).click();
  await page.getByRole("button", { name: "Start the run" }).waitFor();
  const run = page.url().split("#")[1]?.split("/").slice(0, 3).join("/") ?? "";
  await lookAt("lane-briefing", `#${run}/lane/ev1`);

  await page.getByRole("button", { name: "Start the run" }).click();
  await startStep(device, "ev1-01");
  await finishStep(device, "ev1-01");
  await workGates(device, "ev1-02");
  await lookAt("lane-warning", `#${run}/lane/ev1`);
  for (const screen of ["pair", "desk", "follow", "debrief"])
    await lookAt(screen, `#${run}/${screen}`);

  await holdEveryone(device, "Check the tethers");
  await lookAt("lane-on-hold", `#${run}/lane/ev1`);
  await lookAt("desk-on-hold", `#${run}/desk`);
  for (const { size, width, height } of sizes) {
    await page.setViewportSize({ width, height });
    await page.evaluate(() => scrollTo(0, document.documentElement.scrollHeight));
    await takePicture(page, `desk-on-hold-scrolled-${size}`);
    const banner = await page.locator(".hold-banner").boundingBox();
    expect(banner?.y, `the hold stays in sight, ${size}`).toBeGreaterThanOrEqual(0);
  }
});

test("the long procedure's screens", async () => {
  const { page } = device;
  await page.evaluate(() => (location.hash = "#/shelf"));
  await page.getByRole("button", { name: /^Open a run of Petrel Deck/ }).click();
  await page.getByRole("dialog").getByLabel("This device’s name").fill("Desk");
  await page.getByRole("dialog").getByRole("button", { name: "Open the run" }).click();
  await page.getByRole("dialog").getByRole("button", { name: "I have written it down" }).click();
  await page.getByRole("heading", { name: "Devices" }).waitFor();
  const run = page.url().split("#")[1]?.split("/").slice(0, 3).join("/") ?? "";
  for (const screen of ["lane/ev2", "pair", "desk", "follow", "debrief"])
    await lookAt(`long-${screen.replace("/", "-")}`, `#${run}/${screen}`);
});

test("the real stop over everything", async () => {
  const { page } = device;
  await goToScreen(device, "Follow");
  await page.getByRole("button", { name: /^REAL STOP/ }).click({ delay: 1_400 });
  await page.getByRole("dialog").getByRole("heading", { name: "REAL STOP" }).waitFor();
  await lookAt("real-stop", page.url().slice(page.url().indexOf("#")));
});

async function lookAt(name: string, hash: string): Promise<void> {
  const { page } = device;
  await page.evaluate((to) => (location.hash = to), hash);
  for (const { size, width, height } of sizes) {
    await page.setViewportSize({ width, height });
    for (const theme of ["day", "night"] as const) {
      await page.evaluate((to) => (document.documentElement.dataset["theme"] = to), theme);
      await expect
        .poll(() => listOverflows(page), { message: `${name}, ${size}`, timeout: 20_000 })
        .toEqual([]);
      await takePicture(page, `${name}-${size}-${theme}`);
      if (theme === "day" && hash.startsWith("#/run/"))
        expect(await listTightTargets(page), `${name}, ${size}`).toEqual([]);
      // The other pairs of size and theme differ from these by width or by colour alone.
      if (size === "tablet-wide" || (size === "phone" && theme === "day"))
        expect(await listViolations(page), `${name}, ${size}, ${theme}`).toEqual([]);
    }
  }
}

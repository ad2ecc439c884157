// By keyboard alone, from the first visit: a rehearsal is started, a step worked, a hold raised,
// acknowledged and released. No pointer is used; every button is reached by Tab.

import type { Browser, Page } from "playwright-core";
import { afterAll, beforeAll, test } from "vitest";
import { launchBrowser, openContext } from "../../support/chromium.ts";
import { startHub } from "../../support/hub-process.ts";
import type { HubProcess } from "../../support/hub-process.ts";
import { openDevice } from "../pages/device.page.ts";
import { stepPanel } from "../pages/lane.page.ts";

const tabsMax = 60;

let hub: HubProcess;
let browser: Browser;

beforeAll(async () => {
  hub = await startHub();
  browser = await launchBrowser();
});

afterAll(async () => {
  await browser?.close();
  await hub?.remove();
});

test("a step is worked and a hold raised by keyboard alone", async () => {
  const device = await openDevice("Tablet", hub.address, await openContext(browser));
  const { page } = device;
  await press(page, /^Rehearse now/);
  await page.getByRole("button", { name: "Start the run" }).waitFor();
  await press(page, /^Start the run/);
  await stepPanel(device, "ev1-01").waitFor();
  await press(page, /^Start$/);
  await stepPanel(device, "ev1-01").getByRole("button", { name: "Done", exact: true }).waitFor();
  await press(page, /^Done$/);
  await stepPanel(device, "ev1-02").waitFor();
  await press(page, /^Acknowledge and read back/);

  await press(page, /^Hold: unsure/);
  await page.locator(".hold-banner [data-hold]").waitFor();
  await press(page, /^Acknowledge for EV1/);
  await page.getByText("acknowledged by all").waitFor();
  await focus(page, /^Release hold/);
  await page.keyboard.down("Enter");
  await page.locator(".hold-banner [data-hold]").waitFor({ state: "detached" });
  await page.keyboard.up("Enter");
});

async function press(page: Page, name: RegExp): Promise<void> {
  await focus(page, name);
  await page.keyboard.press("Enter");
}

async function focus(page: Page, name: RegExp): Promise<void> {
  for (let tabs = 0; tabs < tabsMax; tabs += 1) {
    await page.keyboard.press("Tab");
    const focused = await page.evaluate(() => {
      const { activeElement } = document;
      const isDisabled = activeElement?.getAttribute("aria-disabled") === "true";
      return isDisabled ? "" : (activeElement?.textContent ?? "").trim();
    });
    if (name.test(focused)) return;
  }
  throw new Error(`${tabsMax} presses of Tab did not reach ${name}`);
}

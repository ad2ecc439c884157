// Acts that must be meant: held buttons, going on against something, the real stop; and the choice
// of day or night, which a device keeps.

import type { Browser, Locator } from "playwright-core";
import { afterAll, beforeAll, expect, test } from "vitest";
import { launchBrowser, openContext } from "../support/chromium.ts";
import { startHub } from "../support/hub-process.ts";
import type { HubProcess } from "../support/hub-process.ts";
import { expectNoComplaints, openDevice, pressAndHold } from "./pages/device.page.ts";
import type { Device } from "./pages/device.page.ts";
import { finishStep, startStep, stepPanel } from "./pages/lane.page.ts";

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

test("[hold-to-do 1] only a press of the whole time acts, by pointer and by key", async () => {
  const device = await rehearse("Held");
  const { page } = device;
  const stop = realStop(device);
  await stop.click({ delay: 100 });
  await stop.focus();
  await page.keyboard.press("Enter", { delay: 100 });
  await page.keyboard.press("Space", { delay: 100 });
  await expectNoStop(device);
  await stop.focus();
  await page.keyboard.down("Space");
  await page.locator("dialog.real-stop").waitFor();
  await page.keyboard.up("Space");
  expectNoComplaints(device);
  await device.context.close();
});

test("[hold-to-do 1] leaving the button before its time does nothing", async () => {
  const device = await rehearse("Left");
  const { page } = device;
  await realStop(device).hover();
  await page.mouse.down();
  await page.locator(".hold-to-do--held").waitFor();
  await page.mouse.move(5, 400);
  await page.locator(".hold-to-do--held").waitFor({ state: "detached" });
  await page.mouse.up();
  await expectNoStop(device);
  await device.context.close();
});

test("[hold-to-do 2] what presses without finger or key presses twice", async () => {
  const device = await rehearse("Switch");
  const { page } = device;
  const press = () => realStop(device).evaluate((button) => (button as HTMLElement).click());
  await press();
  await page.getByRole("button", { name: "REAL STOP press again" }).waitFor();
  await expectNoStop(device);
  await press();
  await page.locator("dialog.real-stop").waitFor();
  await device.context.close();
});

test("[step-acts 1] going on against a closed gate is held, and stands as a variance", async () => {
  const device = await rehearse("Against");
  const { page } = device;
  await startStep(device, "ev1-01");
  await finishStep(device, "ev1-01");
  const panel = stepPanel(device, "ev1-02");
  await panel.getByText("A warning is not read back and confirmed").waitFor();
  await panel.getByText("recorded as a variance").waitFor();
  expect(await panel.getByRole("button", { name: "Start", exact: true }).count()).toBe(0);
  const anyway = panel.getByRole("button", { name: "Start anyway" });
  await anyway.click();
  expect(await panel.getByText("Working").count()).toBe(0);
  await pressAndHold(anyway);
  await panel.getByText("Working").waitFor();
  await page.getByRole("link", { name: "Debrief", exact: true }).click();
  await page.getByText("A gate was closed or something was in the way.").first().waitFor();
  expectNoComplaints(device);
  await device.context.close();
});

test("[step-acts 2] a second tap that bounces off the first is not a second act", async () => {
  const device = await rehearse("Bounce");
  const panel = stepPanel(device, "ev1-01");
  await panel.getByRole("button", { name: "Start", exact: true }).waitFor();
  // The bounce falls on whatever button has come by the time that the step has moved.
  await panel.evaluate(async (element) => {
    const main = () => element.querySelector<HTMLElement>(".tap--main");
    main()?.click();
    while (!/Done/.test(main()?.textContent ?? "")) {
      await new Promise((resolve) => requestAnimationFrame(resolve));
    }
    main()?.click();
  });
  await panel.locator('.tap--main:not([aria-disabled="true"])').waitFor();
  await panel.getByText("Working").waitFor();
  await device.context.close();
});

test("[use-tap 1] [use-tap 2] a hold tapped while another tap is being kept is taken, and taken once", async () => {
  const device = await rehearse("Hold at once");
  const { page } = device;
  await stepPanel(device, "ev1-01").getByRole("button", { name: "Start", exact: true }).waitFor();
  // In one turn, so that the first is not kept yet when the others come.
  await page.evaluate(() => {
    const buttons = [...document.querySelectorAll("button")];
    const named = (name: string) => buttons.find(({ textContent }) => textContent === name);
    named("Start")?.click();
    named("Hold: unsure")?.click();
    named("Hold: unsure")?.click();
  });
  await page.locator(".hold-banner [data-hold]").waitFor();
  await stepPanel(device, "ev1-01").getByText("Working").waitFor();
  expect(await page.locator(".hold-banner [data-hold]").count()).toBe(1);
  await device.context.close();
});

test("[real-stop 1] [real-stop 2] [real-stop 3] it is held on a sheet too, and takes over", async () => {
  const device = await rehearse("Sheet");
  const { page } = device;
  await page.getByRole("button", { name: "Note…" }).click();
  await pressAndHold(page.getByRole("dialog").getByRole("button", { name: "REAL STOP" }));
  const over = page.locator("dialog.real-stop");
  await over.waitFor();
  const text = await over.innerText();
  expect(text).toContain("This is no exercise");
  expect(text).not.toContain("SIMULATED");
  const box = await over.boundingBox();
  expect(box).toMatchObject({ x: 0, y: 0, width: 1180, height: 820 });
  const isOnTop = await page.evaluate(
    () => document.elementFromPoint(590, 20)?.closest("dialog.real-stop") !== null,
  );
  expect(isOnTop).toBe(true);
  await page.keyboard.press("Escape");
  expect(await over.isVisible()).toBe(true);
  await device.context.close();
});

test("[real-stop 4] it is acknowledged, and a director resumes by a held button", async () => {
  const device = await rehearse("Resume");
  const { page } = device;
  await pressAndHold(realStop(device));
  await page.getByRole("button", { name: "Acknowledge", exact: true }).click();
  await page.getByText("Acknowledged on this device").waitFor();
  await page.getByLabel("Why the run may go on").fill("All is well");
  const resume = page.getByRole("button", { name: "Resume the run" });
  await resume.click();
  expect(await page.locator("dialog.real-stop").isVisible()).toBe(true);
  await resume.click({ delay: 1_900 });
  await page.locator("dialog.real-stop").waitFor({ state: "detached" });
  expectNoComplaints(device);
  await device.context.close();
});

test("the choice of night is kept over a reload", async () => {
  const device = await rehearse("Night");
  const { page } = device;
  const ground = () => page.evaluate(() => getComputedStyle(document.body).backgroundColor);
  const day = await ground();
  await page.getByRole("button", { name: "Night", exact: true }).click();
  await expect.poll(ground).not.toBe(day);
  const night = await ground();
  await page.reload();
  await page.locator("[data-step]").waitFor();
  expect(await ground()).toBe(night);
  await device.context.close();
});

// A rehearsal alone, started: EV1's first step is the step of now.
async function rehearse(name: string): Promise<Device> {
  const device = await openDevice(
    name,
    hub.address,
    await openContext(browser, { width: 1180, height: 820, theme: "light" }),
  );
  const { page } = device;
  await page.getByRole("button", { name: "Rehearse now" }).click();
  await page.getByRole("button", { name: "Start the run" }).click();
  await stepPanel(device, "ev1-01").waitFor();
  return device;
}

function realStop(device: Device): Locator {
  return device.page.locator("header").getByRole("button", { name: "REAL STOP" });
}

async function expectNoStop(device: Device): Promise<void> {
  expect(await device.page.locator("dialog.real-stop").count()).toBe(0);
}

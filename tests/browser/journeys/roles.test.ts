// Each role on a device of its own: what it sees, what it may do, and what it may not know. An inject is
// put live by hand; support reports and asks; the observer calls the real stop; the director resumes.

import type { Browser } from "playwright-core";
import { afterAll, beforeAll, expect, test } from "vitest";
import { launchBrowser, openContext } from "../../support/chromium.ts";
import { startHub } from "../../support/hub-process.ts";
import type { HubProcess } from "../../support/hub-process.ts";
import { holdDeskButton, inviteDevice } from "../pages/desk.page.ts";
import {
  expectNoComplaints,
  goToScreen,
  openDevice,
  pressAndHold,
  waitUntilSent,
} from "../pages/device.page.ts";
import type { Device } from "../pages/device.page.ts";
import { workGates } from "../pages/lane.page.ts";
import { confirmReadback } from "../pages/pair.page.ts";
import { textOfStores } from "../pages/stores.page.ts";
import { joinRun, openRun } from "../pages/shelf.page.ts";
import { finishStep, startStep } from "../pages/lane.page.ts";

let hub: HubProcess;
let browser: Browser;
let desk: Device;
let ev2: Device;
let reader: Device;
let support: Device;
let observer: Device;
let all: readonly Device[];

beforeAll(async () => {
  hub = await startHub();
  browser = await launchBrowser();
  const open = async (name: string): Promise<Device> =>
    openDevice(name, hub.address, await openContext(browser));
  desk = await open("Desk");
  ev2 = await open("EV2 tablet");
  reader = await open("Reader");
  support = await open("Deck hand");
  observer = await open("Guest");
  all = [desk, ev2, reader, support, observer];
  await openRun(desk, "First Steps");
  await joinRun(ev2, await inviteDevice(desk, "crew", "ev2"));
  await joinRun(reader, await inviteDevice(desk, "reader", "iv"));
  await joinRun(support, await inviteDevice(desk, "support", ""));
  await joinRun(observer, await inviteDevice(desk, "observer", ""));
  await holdDeskButton(desk, "Start the run");
});

afterAll(async () => {
  await browser?.close();
  await hub?.remove();
});

test("each role has its screens, and no other", async () => {
  const screensByDevice = new Map([
    [desk, ["Desk", "Pair", "Lane", "Follow", "Debrief"]],
    [reader, ["Pair", "Lane", "Follow", "Debrief"]],
    [ev2, ["Lane", "Follow", "Debrief"]],
    [support, ["Follow", "Debrief"]],
    [observer, ["Follow", "Debrief"]],
  ]);
  for (const [device, screens] of screensByDevice)
    for (const screen of ["Desk", "Pair", "Lane", "Follow", "Debrief"])
      expect(
        await device.page.getByRole("link", { name: screen, exact: true }).count(),
        `${device.name}: ${screen}`,
      ).toBe(screens.includes(screen) ? 1 : 0);
});

test("the reader confirms a read-back of the crew's warning", async () => {
  await startStep(ev2, "ev2-01");
  await finishStep(ev2, "ev2-01");
  await workGates(ev2, "ev2-02");
  await confirmReadback(reader, "EV2");
  await ev2.page.locator('[data-step="ev2-02"] [data-state="open"]').first().waitFor();
});

test("an inject is unknown to every other device until it is put live", async () => {
  await waitUntilSent(desk);
  const card = "Your voice loop is silent.";
  for (const device of [ev2, reader, support, observer])
    expect(await textOfStores(device), device.name).not.toContain(card);
  expect(await textOfStores(desk)).toContain(card);

  await goToScreen(desk, "Desk");
  const inject = desk.page.locator('[data-inject="quiet-loop"]');
  await inject.locator("summary").click();
  await pressAndHold(inject.getByRole("button", { name: /^Put live/ }));
  const shown = ev2.page.getByText(card);
  await shown.waitFor();
  await ev2.page.getByText("SIMULATED").first().waitFor();
  expect(await observer.page.getByText(card).count()).toBe(0);
});

test("the crew answers, the director grades and clears", async () => {
  await ev2.page.getByRole("button", { name: "Say what you do…" }).click();
  const sheet = ev2.page.getByRole("dialog");
  await sheet.getByRole("textbox").fill("I tap my helmet");
  await sheet.getByRole("button", { name: "Enter response" }).click();
  const inject = desk.page.locator('[data-inject="quiet-loop"]');
  await inject.getByText("I tap my helmet").waitFor();
  await inject.getByRole("button", { name: "Met", exact: true }).click();
  await pressAndHold(inject.getByRole("button", { name: /^Clear/ }));
  await ev2.page.getByText("Your voice loop is silent.").waitFor({ state: "detached" });
});

test("support reports an item and asks for a hold; the director sees both", async () => {
  const { page } = support;
  await page.getByRole("button", { name: "Item seen…" }).click();
  await page.getByRole("dialog").getByRole("button", { name: "Seen there" }).click();
  await page.getByRole("button", { name: "Ask for a hold…" }).click();
  const sheet = page.getByRole("dialog");
  await sheet.getByRole("textbox").fill("Hose on the floor");
  await sheet.getByRole("button", { name: "Ask", exact: true }).click();
  await desk.page.getByText("Hose on the floor").first().waitFor();
});

test("an observer calls the real stop: every device is taken over, only a director resumes", async () => {
  const call = observer.page.getByRole("button", { name: /^REAL STOP/ });
  await call.click({ delay: 1_400 });
  for (const device of all) {
    const over = device.page.getByRole("dialog", { name: "REAL STOP" });
    await over.waitFor();
    expect(await over.innerText()).not.toContain("SIMULATED");
    await over.getByRole("button", { name: "Acknowledge", exact: true }).click();
  }
  const { page } = desk;
  await page.getByText(/Acknowledged: .*Guest/).waitFor();
  expect(await ev2.page.getByRole("button", { name: /Resume the run/ }).count()).toBe(0);
  await page.getByLabel("Why the run may go on").fill("Hose cleared");
  await page.getByRole("button", { name: "Resume the run" }).click({ delay: 1_900 });
  for (const device of all)
    await device.page.getByRole("dialog", { name: "REAL STOP" }).waitFor({ state: "detached" });
  for (const device of all) expectNoComplaints(device);
});

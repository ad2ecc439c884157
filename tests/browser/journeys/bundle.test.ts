// A run with no network at all: the hub is down, and the record goes from device to device as files, through
// the screens, both ways. What is cut is refused; what the crew must not see coming is in no file for them.

import type { Browser } from "playwright-core";
import { afterAll, beforeAll, expect, test } from "vitest";
import { launchBrowser, openContext } from "../../support/chromium.ts";
import { startHub } from "../../support/hub-process.ts";
import type { HubProcess } from "../../support/hub-process.ts";
import { handOn, pickInRun, pickOnShelf, readIntoRun } from "../pages/bundle.page.ts";
import { exportedText } from "../pages/debrief.page.ts";
import { holdDeskButton, inviteDevice } from "../pages/desk.page.ts";
import {
  expectNoComplaints,
  goToScreen,
  openDevice,
  pressAndHold,
  waitUntilSent,
} from "../pages/device.page.ts";
import type { Device } from "../pages/device.page.ts";
import { finishStep, startStep } from "../pages/lane.page.ts";
import { listOverflows, listViolations, takePicture } from "../pages/look-at.page.ts";
import { joinRun, openRun } from "../pages/shelf.page.ts";
import { textOfStores } from "../pages/stores.page.ts";

const card = "Your voice loop is silent.";
const unchanged = "Nothing on this device has changed.";

let hub: HubProcess;
let browser: Browser;
let desk: Device;
let ev2: Device;
let spare: Device;

beforeAll(async () => {
  hub = await startHub();
  browser = await launchBrowser();
  const open = async (name: string): Promise<Device> =>
    openDevice(name, hub.address, await openContext(browser));
  desk = await open("Desk");
  ev2 = await open("EV2 tablet");
  spare = await open("Spare");
  await openRun(desk, "First Steps");
  await joinRun(ev2, await inviteDevice(desk, "crew", "ev2"));
  await holdDeskButton(desk, "Start the run");
  for (const device of [desk, ev2]) await waitUntilSent(device);
  await desk.page.locator('[data-inject="quiet-loop"]').waitFor();
  await goToScreen(ev2, "Lane");
  await ev2.page.locator('[data-step="ev2-01"]').waitFor();
  await hub.stop();
});

afterAll(async () => {
  await browser?.close();
  await hub?.remove();
});

test("a record goes both ways by files, and both devices then save the same bytes", async () => {
  await startStep(ev2, "ev2-01");
  await finishStep(ev2, "ev2-01");
  await noteOnPair(desk, "From the desk");
  const fromCrew = await handOn(ev2);
  expect(fromCrew.name).toMatch(/\.lanehold$/);
  expect(await readIntoRun(desk, fromCrew)).toMatch(/^Taken: [1-9]\d* new/);
  expect(await readIntoRun(ev2, await handOn(desk))).toMatch(/^Taken: [1-9]\d* new/);
  await ev2.page.getByText("From the desk").first().waitFor();
  const saved = await exportedText(ev2);
  expect(saved).toContain("From the desk");
  expect(saved).toContain("ev2-01");
  expect(await exportedText(desk)).toBe(saved);
});

test("a bundle that was read before changes nothing, and says so", async () => {
  const file = await handOn(desk);
  expect(await readIntoRun(ev2, file)).toContain("0 new");
  const before = await exportedText(ev2);
  expect(await readIntoRun(ev2, file)).toContain(unchanged);
  expect(await exportedText(ev2)).toBe(before);
});

test("a file that was cut, or is none, is refused in words, and changes nothing", async () => {
  await goToScreen(ev2, "Debrief");
  const before = await exportedText(ev2);
  const whole = await handOn(desk);
  for (const bytes of [
    whole.bytes.subarray(0, -9),
    Buffer.from("PK\u0003\u0004"),
    Buffer.alloc(0),
  ]) {
    const sheet = await pickInRun(ev2, { ...whole, bytes });
    const told = sheet.getByRole("alert");
    await told.filter({ hasText: unchanged }).waitFor();
    expect(await told.innerText()).toMatch(/cut, damaged, or is something else/);
    await sheet.getByRole("button", { name: "Close", exact: true }).click();
  }
  expect(await exportedText(ev2)).toBe(before);
});

test("a case reaches the crew by a file only once it is live, and never by a file for directors", async () => {
  await readIntoRun(ev2, await handOn(desk));
  const forDirectors = await handOn(desk, "directors");
  const sheet = await pickInRun(ev2, forDirectors);
  await sheet.getByText("This bundle is for directors").waitFor();
  await sheet.getByRole("button", { name: "Close", exact: true }).click();
  const stored = await textOfStores(ev2);
  expect(stored).not.toContain(card);
  expect(stored).not.toContain("quiet-loop");

  await goToScreen(desk, "Desk");
  const inject = desk.page.locator('[data-inject="quiet-loop"]');
  await inject.locator("summary").click();
  await pressAndHold(inject.getByRole("button", { name: /^Put live/ }));
  await inject.getByText("No response is noted yet.").waitFor();
  await readIntoRun(ev2, await handOn(desk));
  await goToScreen(ev2, "Lane");
  await ev2.page.getByText(card).waitFor();
  await ev2.page.getByText("SIMULATED").first().waitFor();
});

test("a device that never joined compares letters, looks on, and says that it hears by bundles only", async () => {
  await goToScreen(desk, "Desk");
  const letters = await desk.page.locator(".letters--beside").first().getAttribute("data-letters");
  const file = await handOn(desk);
  const sheet = await pickOnShelf(spare, file);
  const shown = sheet.locator(".letters--check");
  await shown.waitFor();
  expect(await shown.getAttribute("data-letters")).toBe(letters);
  expect(await listViolations(spare.page)).toEqual([]);
  expect(await listOverflows(spare.page)).toEqual([]);
  await takePicture(spare.page, "bundle-offered");
  await sheet.getByRole("button", { name: "Different letters" }).click();
  await sheet.getByRole("alert").waitFor();
  await sheet.getByRole("button", { name: "Close", exact: true }).click();
  const again = await pickOnShelf(spare, file);
  await again.getByRole("button", { name: "Same letters: take it" }).click();
  await again.getByText("hears of this run by bundles only").waitFor();
  await takePicture(spare.page, "bundle-taken");
  await again.getByRole("link", { name: "Go to the run" }).click();
  await spare.page.getByText("By bundles only").waitFor();
  expect(await spare.page.getByRole("link", { name: "Desk", exact: true }).count()).toBe(0);
  for (const device of [desk, ev2, spare]) expectNoComplaints(device);
});

async function noteOnPair(device: Device, text: string): Promise<void> {
  const { page } = device;
  await goToScreen(device, "Pair");
  await page.getByRole("button", { name: "Note…" }).click();
  const sheet = page.getByRole("dialog");
  await sheet.getByRole("textbox").first().fill(text);
  await sheet.getByRole("button", { name: "Keep note" }).click();
  await sheet.waitFor({ state: "detached" });
}

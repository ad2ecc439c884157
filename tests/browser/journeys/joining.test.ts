// Getting in and being put out: by link, by camera, by compared letters, with a recovery code; struck off and
// let in again. And that no address keeps the code.

import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import type { Browser } from "playwright-core";
import { afterAll, beforeAll, expect, test } from "vitest";
import { cameraFlags, filmQr } from "../../support/camera-picture.ts";
import { launchBrowser, openContext } from "../../support/chromium.ts";
import { startHub } from "../../support/hub-process.ts";
import type { HubProcess } from "../../support/hub-process.ts";
import { holdDeskButton, inviteDevice, linkOf, strikeOff } from "../pages/desk.page.ts";
import { expectNoComplaints, openDevice } from "../pages/device.page.ts";
import type { Device } from "../pages/device.page.ts";
import { listOverflows, listViolations } from "../pages/look-at.page.ts";
import {
  joinRun,
  nameAndJoin,
  openRun,
  recoverRun,
  shownLetters,
  typeCode,
} from "../pages/shelf.page.ts";

let hub: HubProcess;
let browser: Browser;
let cameraBrowser: Browser;
let folder: string;
let desk: Device;
let recoveryCode: string;

beforeAll(async () => {
  hub = await startHub();
  folder = mkdtempSync(join(tmpdir(), "lanehold-film-"));
  browser = await launchBrowser();
  cameraBrowser = await launchBrowser(cameraFlags(film()));
  desk = await open("Desk");
  recoveryCode = await openRun(desk, "First Steps");
});

afterAll(async () => {
  await browser?.close();
  await cameraBrowser?.close();
  await hub?.remove();
  rmSync(folder, { recursive: true, force: true });
});

test("[place 1] a link lets in with nothing to compare, and the address keeps nothing of it", async () => {
  const invited = await inviteDevice(desk, "reader", "iv");
  const reader = await open("Reader");
  await reader.page.goto(linkOf(desk, invited));
  await reader.page.getByText("Invitation read.").waitFor();
  expect(reader.page.url()).toBe(`${hub.address}/#/shelf`);
  await nameAndJoin(reader);
  await reader.page.getByRole("link", { name: "Pair", exact: true }).waitFor();
  await reader.page.goBack();
  expect(reader.page.url()).not.toContain(invited.code);
  expectNoComplaints(reader);
});

test("[qr-scan 1] [read-qr 1] a camera reads an invitation, with no network too, and is off afterwards", async () => {
  const invited = await inviteDevice(desk, "crew", "ev1");
  filmQr(film(), linkOf(desk, invited));
  const ev1 = await open("EV1 tablet", cameraBrowser);
  await ev1.page.reload();
  await ev1.page.getByRole("button", { name: "Join by QR or code…" }).click();
  expect(await readersFetched(ev1)).toBe(0);
  await ev1.context.setOffline(true);
  await ev1.page.getByRole("button", { name: "Scan the QR…" }).click();
  const video = await ev1.page.getByLabel("What the camera sees").elementHandle();
  await ev1.page.getByText("Invitation read.").waitFor();
  const tracks = await video?.evaluate((element) => {
    const { srcObject } = element as HTMLVideoElement;
    return (srcObject as MediaStream).getTracks().map((track) => track.readyState);
  });
  expect(tracks).toEqual(["ended"]);
  expect(await readersFetched(ev1)).toBe(1);
  await ev1.context.setOffline(false);
  await nameAndJoin(ev1);
  await ev1.page.getByRole("link", { name: "Lane", exact: true }).waitFor();
  expectNoComplaints(ev1);
});

test("[qr-scan 2] without a camera the sheet says so and takes the typed code", async () => {
  const tablet = await open("No camera");
  await tablet.page.getByRole("button", { name: "Join by QR or code…" }).click();
  await tablet.page.getByRole("button", { name: "Scan the QR…" }).click();
  await tablet.page.getByRole("dialog").getByText("Type the code instead.").waitFor();
  await tablet.page.getByLabel("Code from the director").waitFor();
  expectNoComplaints(tablet);
});

test("[join 2] different letters keep nothing on the device", async () => {
  const { code, letters } = await inviteDevice(desk, "observer", "");
  const tablet = await open("Wary");
  await typeCode(tablet, code);
  expect(await shownLetters(tablet, "check")).toBe(letters);
  await tablet.page.getByRole("button", { name: "Different letters" }).click();
  await tablet.page.getByText("Do not join by this code.").waitFor();
  await tablet.page.getByRole("button", { name: "Close", exact: true }).click();
  await tablet.page.getByText("None yet. A run that you open or join").waitFor();
  expectNoComplaints(tablet);
});

test("[join 3] a QR of another run is refused, though its code is good", async () => {
  const invited = await inviteDevice(desk, "observer", "");
  const tablet = await open("Elsewhere");
  const foreign = linkOf(desk, invited).replace(/run=.{4}/, "run=abcd");
  await tablet.page.goto(foreign);
  await nameAndJoin(tablet);
  await tablet.page.getByText("The hub answered with another run").waitFor();
  await tablet.page.getByRole("button", { name: "Close", exact: true }).click();
  await tablet.page.getByText("None yet. A run that you open or join").waitFor();
});

test("[device-list 1] [struck-off 1] one of two tablets of one name is struck off, says so, and comes back by a new code", async () => {
  const first = await open("Twin");
  await joinRun(first, await inviteDevice(desk, "crew", "ev2"));
  const second = await open("Twin");
  await joinRun(second, await inviteDevice(desk, "support", ""));
  const named = desk.page.getByRole("button", { name: /^Strike off Twin · / });
  await expect.poll(() => named.count(), { timeout: 30_000 }).toBe(2);
  const letters = await lettersOfShelf(second);
  await strikeOff(desk, `Twin · ${letters}`);
  const { page } = second;
  await page.evaluate(() => history.back());
  await page.getByRole("heading", { name: "Struck off" }).waitFor({ timeout: 60_000 });
  expect(await page.getByRole("button", { name: /^REAL STOP/ }).count()).toBe(1);
  expect(await page.getByRole("link", { name: "Save as JSON" }).count()).toBe(1);
  expect(await page.getByRole("link", { name: "Follow", exact: true }).count()).toBe(0);
  await page.evaluate(() => (location.hash = "#/shelf"));
  await joinRun(second, await inviteDevice(desk, "support", ""));
  await page.getByRole("link", { name: "Follow", exact: true }).waitFor();
});

test("the recovery code makes another device the director's, and is said to be used", async () => {
  const spare = await open("Spare desk");
  await recoverRun(spare, recoveryCode.toLowerCase().replaceAll("-", " "));
  await desk.page.getByText("Spare desk", { exact: true }).waitFor();
  await desk.page.getByText(/Recovery code: used at/).waitFor();
  await holdDeskButton(spare, "Start the run");
  await desk.page.getByText("Under way").first().waitFor();
  expectNoComplaints(spare);
});

test("[recovery-code 1] [print-slip 1] a recovery code is left only by a word, and prints alone", async () => {
  const tablet = await open("Second desk");
  const { page } = tablet;
  await page.getByRole("button", { name: "Open a run of First Steps" }).click();
  await page.getByRole("dialog").getByRole("button", { name: "Open the run" }).click();
  const code = await shownLetters(tablet, "code");
  await expectInOrder(tablet);
  await page.getByRole("button", { name: "Print it" }).click();
  await page.emulateMedia({ media: "print" });
  const printed = await page.evaluate(() => document.body.innerText);
  expect(printed).toContain(code);
  expect(printed).not.toContain("I have written it down");
  expect(printed).not.toContain("Rehearse now");
  await page.emulateMedia({ media: "screen" });
  await page.evaluate(() => dispatchEvent(new Event("afterprint")));
  expect(await page.locator(".print-slip").count()).toBe(0);
  await page.keyboard.press("Escape");
  await page.getByText("You have not said that it is written down.").waitFor();
  expect(await shownLetters(tablet, "code")).toBe(code);
  await page.getByRole("button", { name: /^Go on without it/ }).click({ delay: 1_400 });
  await page.getByRole("heading", { name: "Devices" }).waitFor();
  expect(await textOfDatabase(tablet)).not.toContain(code.replaceAll("-", ""));
  expect(await textOfDatabase(tablet)).not.toContain(code);
  expectNoComplaints(tablet);
});

test("[readiness 1] a browser that keeps no key is found out by trying", async () => {
  const context = await openContext(browser);
  // As in lockdown mode: the database takes everything but keys.
  await context.addInitScript(() => {
    for (const name of ["put", "add"] as const) {
      const write = Reflect.get(IDBObjectStore.prototype, name);
      IDBObjectStore.prototype[name] = function refuseKeys(...given) {
        const isKey = [given[0], Object(given[0]).privateKey].some(
          (one) => one instanceof CryptoKey,
        );
        if (isKey) throw new DOMException("No keys.", "DataCloneError");
        return Reflect.apply(write, this, given);
      };
    }
  });
  const page = await context.newPage();
  await page.goto(hub.address);
  await page.getByRole("link", { name: "See whether this browser is ready" }).click();
  await page.getByText("This browser does not store keys.").waitFor();
});

test("[readiness 1] the sheets of joining are in order at every size, in both themes", async () => {
  const { page } = desk;
  await page.getByRole("button", { name: "Invite a device…" }).click();
  await page.getByRole("dialog").getByLabel("Role").selectOption("reader");
  await page.getByRole("dialog").getByRole("button", { name: "Make a code" }).click();
  await shownLetters(desk, "code");
  await expectInOrder(desk);
  const tablet = await open("Looked at");
  await tablet.page.getByRole("button", { name: "Join by QR or code…" }).click();
  await expectInOrder(tablet);
  await tablet.page.evaluate(() => (location.hash = "#/about"));
  await tablet.page.getByRole("heading", { name: "Whether this browser is ready" }).waitFor();
  const trying = tablet.page.getByText("Trying whether it keeps a key");
  await trying.waitFor({ state: "detached", timeout: 60_000 });
  await expectInOrder(tablet);
});

async function open(name: string, on: Browser = browser): Promise<Device> {
  return openDevice(name, hub.address, await openContext(on));
}

// How often the page has fetched its own reader of QR codes, from wherever.
async function readersFetched({ page }: Device): Promise<number> {
  return page.evaluate(
    () =>
      performance.getEntriesByType("resource").filter(({ name }) => /\/decode-[^/]*$/.test(name))
        .length,
  );
}

// All that the device has stored, as text.
async function textOfDatabase({ page }: Device): Promise<string> {
  return page.evaluate(async () => {
    const opening = indexedDB.open("lanehold");
    const database = await new Promise<IDBDatabase>((resolve) => {
      opening.addEventListener("success", () => resolve(opening.result));
    });
    const texts: string[] = [];
    for (const store of database.objectStoreNames) {
      const reading = database.transaction(store).objectStore(store).getAll();
      await new Promise((resolve) => reading.addEventListener("success", resolve));
      texts.push(JSON.stringify(reading.result));
    }
    database.close();
    return texts.join("\n");
  });
}

function film(): string {
  return join(folder, "camera.y4m");
}

// The device's own letters, which its shelf shows. Leaves the run's screen.
async function lettersOfShelf({ page }: Device): Promise<string> {
  await page.evaluate(() => (location.hash = "#/shelf"));
  const shown = page.getByRole("main").locator(".letters--beside").last();
  return (await shown.getAttribute("data-letters")) ?? "";
}

async function expectInOrder({ page, name }: Device): Promise<void> {
  for (const [width, height] of [
    [1180, 820],
    [390, 844],
  ] as const) {
    await page.setViewportSize({ width, height });
    for (const theme of ["day", "night"] as const) {
      await page.evaluate((to) => (document.documentElement.dataset["theme"] = to), theme);
      expect(await listOverflows(page), `${name}, ${width}`).toEqual([]);
      expect(await listViolations(page), `${name}, ${width}, ${theme}`).toEqual([]);
    }
  }
}

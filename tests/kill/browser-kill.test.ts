// The browser is killed with SIGKILL in the middle of taps and opened again on its profile: every tap
// that its screen had shown must be there.
//
// It needs the built app and hub, which the project's set-up builds if they are not there.
// LANEHOLD_KILLS says how many kills, 4 unless told; LANEHOLD_SEED when they come. The hub lives while
// the device taps, so that the service worker writes in between; it is away when the browser comes back,
// so that only the disk can have brought back what is found. A killed process does not lose what the
// system has in its own memory of the disk; that transactions wait for the disk itself is the last test.

import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import type { Page } from "playwright-core";
import { afterAll, beforeAll, expect, onTestFinished, test } from "vitest";
import { createSeededRandom } from "../../machines/base/seeded-random.ts";
import type { SeededRandom } from "../../machines/base/seeded-random.ts";
import { holdIdOf } from "../../machines/record/hold-id.ts";
import { exportedRecord } from "../browser/pages/debrief.page.ts";
import { goToScreen, openDevice } from "../browser/pages/device.page.ts";
import type { Device } from "../browser/pages/device.page.ts";
import { startStep } from "../browser/pages/lane.page.ts";
import { startChromium } from "../support/chromium-process.ts";
import type { ChromiumProcess } from "../support/chromium-process.ts";
import { launchBrowser, openContext } from "../support/chromium.ts";
import { startHub } from "../support/hub-process.ts";
import type { HubProcess } from "../support/hub-process.ts";

const kills = Number(process.env["LANEHOLD_KILLS"] ?? 4);
const seed = Number(process.env["LANEHOLD_SEED"] ?? 20_261);

let hub: HubProcess;

beforeAll(async () => {
  hub = await startHub();
});

afterAll(async () => {
  await hub?.remove();
});

// The time limit grows with the number of kills that was asked for.
test(
  "[append-entry 4] a browser killed in the middle of taps has every tap that it had shown",
  { timeout: 120_000 + kills * 30_000 },
  async () => {
    const profile = mkdtempSync(join(tmpdir(), "lanehold-killed-"));
    const random = createSeededRandom(seed);
    let chromium = await startChromium(profile);
    onTestFinished(async () => {
      await chromium.kill();
      rmSync(profile, { recursive: true, force: true });
    });
    const total = { shown: 0, found: 0, lost: 0 };
    for (let kill = 1; kill <= kills; kill += 1) {
      const before = await tapUntilKilled(chromium, random);
      await hub.kill();
      chromium = await startChromium(profile);
      const after = await openAgain(chromium, before);
      await hub.restart();
      const lost = before.shown.filter((hold) => !after.includes(hold));
      total.shown += before.shown.length;
      total.found += after.length;
      total.lost += lost.length;
    }
    process.stderr.write(
      `kills ${kills}, taps shown ${total.shown}, found ${total.found}, lost ${total.lost}, ` +
        `LANEHOLD_SEED=${seed}\n`,
    );
    expect(total.lost).toBe(0);
    expect(total.shown).toBeGreaterThan(kills);
  },
);

test("[append-entry 4] a tap's transaction is asked to wait for the disk", async () => {
  const browser = await launchBrowser();
  onTestFinished(() => browser.close());
  const context = await openContext(browser);
  await context.addInitScript(noteTransactions);
  const device = await openDevice("Tablet", hub.address, context);
  await rehearse(device.page);
  await device.page.evaluate(() => Reflect.set(globalThis, "notedTransactions", []));
  await startStep(device, "ev1-01");
  const noted = await device.page.evaluate(
    () => Reflect.get(globalThis, "notedTransactions") as readonly NotedTransaction[],
  );
  const writes = noted.filter(({ mode }) => mode === "readwrite");
  expect(writes.filter(({ stores }) => stores.includes("entries"))).toHaveLength(1);
  expect(writes.filter(({ durability }) => durability !== "strict")).toEqual([]);
});

/** What a page was doing when it was killed. */
type Killed = {
  /** Where the page was. */
  readonly address: string;
  /** The holds that its banner had shown, by id. */
  readonly shown: readonly string[];
};

/** Opens a run of its own, taps as fast as taps are taken, and is killed at a moment of chance. */
async function tapUntilKilled(chromium: ChromiumProcess, random: SeededRandom): Promise<Killed> {
  const tapsWanted = 1 + random.nextBelow(16);
  const afterMs = random.nextFraction() * 40;
  const { page } = await openDevice("Tablet", hub.address, chromium.context);
  await rehearse(page);
  const address = page.url();
  const shown = new Set<string>();
  const killed = new Promise<void>((resolve, reject) => {
    const onShown = (hold: string): void => {
      shown.add(hold);
      if (shown.size !== tapsWanted) return;
      setTimeout(() => chromium.kill().then(resolve, reject), afterMs);
    };
    page
      .exposeFunction("tellShown", onShown)
      .then(() => page.evaluate(tapHolds))
      .catch(reject);
  });
  await killed;
  return { address, shown: [...shown] };
}

/** Opens the page where it was. @returns the holds that both the screen and the record have */
async function openAgain(chromium: ChromiumProcess, before: Killed): Promise<readonly string[]> {
  const { context } = chromium;
  const page = context.pages()[0] ?? (await context.newPage());
  const device: Device = { name: "Tablet", context, page, complaints: [] };
  await page.goto(before.address);
  await page.getByRole("button", { name: "Hold: unsure" }).waitFor();
  const onScreen = await page
    .locator(".hold-banner [data-hold]")
    .evaluateAll((plaques) => plaques.map((plaque) => plaque.getAttribute("data-hold")));
  await goToScreen(device, "Debrief");
  const { entries } = await exportedRecord(device);
  expect(entries.map(({ seq }) => seq)).toEqual(entries.map((_, at) => at + 1));
  const inRecord = entries.filter(({ body }) => body.kind === "hold.raised").map(holdIdOf);
  expect(new Set(onScreen)).toEqual(new Set(inRecord));
  expect(onScreen).toHaveLength(inRecord.length);
  return inRecord;
}

async function rehearse(page: Page): Promise<void> {
  await page.getByRole("button", { name: "Rehearse now" }).click();
  await page.getByRole("button", { name: "Start the run" }).click();
  await page.locator('[data-step="ev1-01"]').waitFor();
}

// In the page. A tap is passed over while the one before is being kept, so that tapping at every turn of
// the page's loop is tapping as fast as taps are taken. What appears on the screen is told at once.
function tapHolds(): void {
  const tell = Reflect.get(globalThis, "tellShown") as (hold: string) => void;
  const told = new Set<string>();
  const look = (): void => {
    for (const plaque of document.querySelectorAll<HTMLElement>(".hold-banner [data-hold]")) {
      const hold = plaque.dataset["hold"] ?? "";
      if (told.has(hold)) continue;
      told.add(hold);
      tell(hold);
    }
  };
  new MutationObserver(look).observe(document.body, { childList: true, subtree: true });
  const button = [...document.querySelectorAll("button")].find(
    ({ textContent }) => textContent === "Hold: unsure",
  );
  if (button === undefined) throw new Error("There is no button for a hold.");
  setInterval(() => button.click(), 0);
}

type NotedTransaction = {
  readonly stores: readonly string[];
  readonly mode: string;
  readonly durability: string;
};

// In the page, before its own scripts: notes what the platform says of each transaction that it begins.
function noteTransactions(): void {
  Reflect.set(globalThis, "notedTransactions", []);
  const begin = Reflect.get(IDBDatabase.prototype, "transaction");
  IDBDatabase.prototype.transaction = function beginNoted(...args) {
    const begun = begin.apply(this, args);
    const { mode, durability, objectStoreNames } = begun;
    const noted = Reflect.get(globalThis, "notedTransactions") as NotedTransaction[];
    noted.push({ stores: [...objectStoreNames], mode, durability });
    return begun;
  };
}

// How long a tap takes until it is durable and painted, in the built app and on a bare page.
//
// The bare page (tap-bare-page.ts) does one strict put into IndexedDB and paints a number. Both pages
// are windows of one browser, slowed alike, and are tapped in turn. README.md says the workload and
// what is left out of the timing.
// LANEHOLD_TAPS: taps timed on each page and record, 60 unless given. LANEHOLD_SLOWED: how many times
// the page's thread is slowed, 6 unless given.
//
// To run: npm run bench -- tests/bench/tap.bench.ts

import { readFileSync } from "node:fs";
import type { Browser, Page } from "playwright-core";
import type { PositionId } from "../../machines/procedure/ids.ts";
import type { Procedure } from "../../machines/procedure/procedure.ts";
import { inviteDevice } from "../browser/pages/desk.page.ts";
import { goToScreen, openDevice, waitUntilSent } from "../browser/pages/device.page.ts";
import type { Device } from "../browser/pages/device.page.ts";
import { openRun } from "../browser/pages/shelf.page.ts";
import { launchBrowser, openContext } from "../support/chromium.ts";
import { startHub } from "../support/hub-process.ts";
import { serveBarePage } from "./tap-bare-page.ts";
import { joinAsReader, sendEntries } from "./tap-record.ts";
import { clickAndTime, watchTransactions } from "./tap-timing.ts";
import type { TimedTap } from "./tap-timing.ts";

const taps = Number(process.env["LANEHOLD_TAPS"] ?? 60);
const slowed = Number(process.env["LANEHOLD_SLOWED"] ?? 6);
const warmUps = 8;

type Workload = {
  readonly file: string;
  /** Entries of another device that the record holds before the first tap. */
  readonly entriesBefore: number;
};

const workloads: readonly Workload[] = [
  { file: "first-steps", entriesBefore: 15 },
  { file: "petrel-deck", entriesBefore: 15 },
  { file: "petrel-deck", entriesBefore: 1_000 },
];

const hub = await startHub();
const bare = await serveBarePage();
const browser = await launchBrowser();
try {
  for (const workload of workloads) await measure(workload);
} finally {
  await browser.close();
  bare.close();
  await hub.remove();
}

async function measure(workload: Workload): Promise<void> {
  const barePage = await openBare(browser);
  const device = await openWatched(browser);
  const step = await prepareRun(device, workload);
  await slowDown(barePage);
  await slowDown(device.page);
  const inApp: TimedTap[] = [];
  const onBare: TimedTap[] = [];
  for (let tap = -warmUps; tap < taps; tap += 1) {
    const bareTap = await clickAndTime(barePage, "button", "output");
    const appTap = await tapStart(device, step);
    if (tap < 0) continue;
    onBare.push(bareTap);
    inApp.push(appTap);
  }
  report(workload, inApp, onBare);
  await barePage.context().close();
  await device.context.close();
}

async function openBare(of: Browser): Promise<Page> {
  const context = await openContext(of);
  await context.addInitScript(watchTransactions, "taps");
  const page = await context.newPage();
  await page.goto(bare.address);
  await page.locator("body[data-ready]").waitFor();
  return page;
}

async function openWatched(of: Browser): Promise<Device> {
  const context = await openContext(of);
  await context.addInitScript(watchTransactions, "entries");
  return openDevice("Desk", hub.address, context);
}

/** Opens a run, fills its record, starts it. @returns the step that is tapped */
async function prepareRun(device: Device, workload: Workload): Promise<string> {
  const path = `workers/hub/demo/${workload.file}.procedure.json`;
  const procedure = JSON.parse(readFileSync(path, "utf8")) as Procedure;
  const lane = "ev1" as PositionId;
  await openRun(device, procedure.title);
  const { code } = await inviteDevice(device, "reader", "");
  const reader = await joinAsReader(hub.address, code);
  await device.page.locator(".desk").getByText("Bench reader").first().waitFor();
  await goToScreen(device, "Lane");
  await device.page.getByRole("button", { name: "Start the run" }).click();
  const step = procedure.steps.find((one) => one.lane === lane)?.id ?? "";
  await device.page.locator(`[data-step="${step}"]`).waitFor();
  const options = { count: workload.entriesBefore, without: lane, fromMs: Date.now() };
  await sendEntries(reader, procedure, options);
  await waitUntilHeld(device.page, workload.entriesBefore);
  return step;
}

/** Starts the step, timed; then takes it back, untimed, and lets the sync of both come to rest. */
async function tapStart(device: Device, step: string): Promise<TimedTap> {
  const { page } = device;
  const panel = page.locator(`[data-step="${step}"]`);
  const start = `[data-step="${step}"] button:text-is("Start")`;
  const timed = await clickAndTime(page, start, `[data-step="${step}"] .step-panel__state`);
  await page.getByRole("button", { name: /^Undo/ }).click();
  await page.getByRole("dialog").getByRole("button", { name: "Take it back" }).click();
  await panel.getByRole("button", { name: "Start", exact: true }).waitFor();
  await waitUntilSent(device);
  return timed;
}

async function slowDown(page: Page): Promise<void> {
  const session = await page.context().newCDPSession(page);
  await session.send("Emulation.setCPUThrottlingRate", { rate: slowed });
}

async function waitUntilHeld(page: Page, count: number): Promise<void> {
  while ((await page.evaluate(countEntries)) < count) await page.waitForTimeout(100);
}

async function countEntries(): Promise<number> {
  const opening = indexedDB.open("lanehold");
  const database = await new Promise<IDBDatabase>((resolve) => {
    opening.addEventListener("success", () => resolve(opening.result));
  });
  const counting = database.transaction(["entries"]).objectStore("entries").count();
  return new Promise<number>((resolve) => {
    counting.addEventListener("success", () => {
      database.close();
      resolve(counting.result);
    });
  });
}

function report(workload: Workload, inApp: readonly TimedTap[], onBare: readonly TimedTap[]): void {
  const { file, entriesBefore } = workload;
  const entriesAfter = entriesBefore + 2 * (taps + warmUps);
  console.log(`${file}, ${entriesBefore} to ${entriesAfter} entries, ${taps} taps each:`);
  for (const [name, timed] of [
    ["bare", onBare],
    ["app", inApp],
  ] as const) {
    const of = (ms: (tap: TimedTap) => number) => quantile(timed.map(ms), 0.5).toFixed(1);
    const painted = timed.map(({ paintedMs }) => paintedMs);
    console.log(
      `  ${name}: tap to painted median ${quantile(painted, 0.5).toFixed(1)} ms, ` +
        `p95 ${quantile(painted, 0.95).toFixed(1)} ms; medians of the parts: tap to write ` +
        `${of((tap) => tap.beganMs)}, to durable ${of((tap) => tap.durableMs - tap.beganMs)}, ` +
        `to shown ${of((tap) => tap.shownMs - tap.durableMs)}, ` +
        `to painted ${of((tap) => tap.paintedMs - tap.shownMs)}`,
    );
  }
  for (const at of [0.5, 0.95]) {
    const [app, floor] = [inApp, onBare].map((timed) =>
      quantile(
        timed.map(({ paintedMs }) => paintedMs),
        at,
      ),
    ) as [number, number];
    console.log(`  ratio at ${at * 100} %: ${(app / floor).toFixed(2)}`);
  }
}

function quantile(values: readonly number[], at: number): number {
  const sorted = values.toSorted((a, b) => a - b);
  return sorted[Math.min(sorted.length - 1, Math.floor(sorted.length * at))] ?? 0;
}

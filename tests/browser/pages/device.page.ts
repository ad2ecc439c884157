// A device in a person's hands: its browser, and the acts that any screen offers.

import { expect } from "vitest";
import type { BrowserContext, Locator, Page } from "playwright-core";

/** A device with the app open. */
export type Device = {
  readonly name: string;
  readonly context: BrowserContext;
  readonly page: Page;
  /** What the browser's console said of errors, and errors that nothing caught. */
  readonly complaints: string[];
};

/** Opens the app for the first time and waits until it works offline. */
export async function openDevice(
  name: string,
  address: string,
  context: BrowserContext,
): Promise<Device> {
  const page = context.pages()[0] ?? (await context.newPage());
  const device: Device = { name, context, page, complaints: [] };
  listen(device);
  await page.goto(address);
  await page.getByText("Petrel Deck").first().waitFor();
  await page.evaluate(async () => {
    await navigator.serviceWorker.ready;
  });
  return device;
}

/** Goes to a screen of the run by its tab. */
export async function goToScreen(device: Device, screen: string): Promise<void> {
  await device.page.getByRole("link", { name: screen, exact: true }).click();
}

/** Presses a button for as long as its fill takes. */
export async function pressAndHold(button: Locator): Promise<void> {
  await button.click({ delay: 1_400 });
}

/** Waits until the device says that all it has is at the hub. */
export async function waitUntilSent(device: Device): Promise<void> {
  await device.page.getByText("Saved at the hub").waitFor({ timeout: 30_000 });
}

/** No error on any console; requests that a cut network failed are the test's own doing. */
export function expectNoComplaints(device: Device): void {
  expect(device.complaints, device.name).toEqual([]);
}

function listen(device: Device): void {
  device.page.on("pageerror", (error) => device.complaints.push(error.message));
  device.page.on("console", (message) => {
    const isOfTheNetwork = /net::ERR_|Failed to load resource/.test(message.text());
    if (message.type() === "error" && !isOfTheNetwork) device.complaints.push(message.text());
  });
}

// The shelf, as a person uses it.

import type { Device } from "./device.page.ts";

/** Opens a run of a procedure with this device as its director. */
export async function openRun(device: Device, procedure: string): Promise<void> {
  const { page } = device;
  await page.getByRole("button", { name: `Open a run of ${procedure}` }).click();
  const sheet = page.getByRole("dialog");
  await sheet.getByLabel("This device’s name").fill(device.name);
  await sheet.getByRole("button", { name: "Open the run" }).click();
  await page.getByRole("heading", { name: "Devices" }).waitFor();
}

/** Joins a run by a code. */
export async function joinRun(device: Device, code: string): Promise<void> {
  const { page } = device;
  await page.getByRole("button", { name: "Join by code…" }).click();
  const sheet = page.getByRole("dialog");
  await sheet.getByLabel("Code from the director").fill(code);
  await sheet.getByLabel("This device’s name").fill(device.name);
  await sheet.getByRole("button", { name: "Join", exact: true }).click();
  await page.getByRole("link", { name: "Debrief", exact: true }).waitFor();
}

// The shelf, as a person uses it.

import { expect } from "vitest";
import type { Device } from "./device.page.ts";
import type { Invited } from "./desk.page.ts";

/** Opens a run of a procedure with this device as its director. Returns the recovery code. */
export async function openRun(device: Device, procedure: string): Promise<string> {
  const { page } = device;
  await page.getByRole("button", { name: `Open a run of ${procedure}` }).click();
  const sheet = page.getByRole("dialog");
  await sheet.getByLabel("This device’s name").fill(device.name);
  await sheet.getByRole("button", { name: "Open the run" }).click();
  const code = await shownLetters(device, "code");
  await sheet.getByRole("button", { name: "I have written it down" }).click();
  await page.getByRole("heading", { name: "Devices" }).waitFor();
  return code;
}

/** Joins a run by a typed code, after comparing the letters with the director's. */
export async function joinRun(device: Device, { code, letters }: Invited): Promise<void> {
  const { page } = device;
  await typeCode(device, code);
  expect(await shownLetters(device, "check"), device.name).toBe(letters);
  await page.getByRole("button", { name: "Same letters" }).click();
  await page.getByRole("link", { name: "Debrief", exact: true }).waitFor();
}

/** Types a code, and stops where the letters are to be compared. */
export async function typeCode(device: Device, code: string): Promise<void> {
  const { page } = device;
  await page.getByRole("button", { name: "Join by QR or code…" }).click();
  const sheet = page.getByRole("dialog");
  await sheet.getByLabel("Code from the director").fill(code);
  await nameAndJoin(device);
}

/** Names the device on the sheet that is open, and joins. */
export async function nameAndJoin(device: Device): Promise<void> {
  const sheet = device.page.getByRole("dialog");
  await sheet.getByLabel("This device’s name").fill(device.name);
  await sheet.getByRole("button", { name: "Join", exact: true }).click();
}

/** Takes a lost director's place. */
export async function recoverRun(device: Device, code: string): Promise<void> {
  const { page } = device;
  await page.getByRole("button", { name: "Recover a run…" }).click();
  const sheet = page.getByRole("dialog");
  await sheet.getByLabel("Recovery code").fill(code);
  await sheet.getByLabel("This device’s name").fill(device.name);
  await sheet.getByRole("button", { name: /^Recover the run/ }).click({ delay: 1_400 });
  await page.getByRole("heading", { name: "Devices" }).waitFor();
}

/** The letters that an open sheet shows: a code to give away, or check letters to compare. */
export async function shownLetters(device: Device, look: "code" | "check"): Promise<string> {
  const shown = device.page.getByRole("dialog").locator(`.letters--${look}`);
  return (await shown.getAttribute("data-letters")) ?? "";
}

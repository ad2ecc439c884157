// Bundles in a person's hands: made to a file, and read from one.

import { readFileSync } from "node:fs";
import type { Locator } from "playwright-core";
import type { Device } from "./device.page.ts";
import { goToScreen } from "./device.page.ts";
import { takePicture } from "./look-at.page.ts";

/** A bundle's file. */
export type BundleFile = { readonly name: string; readonly bytes: Buffer };

/** What the file picker gets for a file that is not text. */
const fileType = "application/octet-stream";

/** Makes a bundle of the run on the debrief's screen and saves the file. */
export async function handOn(
  device: Device,
  readers: "everybody" | "directors" = "everybody",
): Promise<BundleFile> {
  const { page } = device;
  await goToScreen(device, "Debrief");
  await page.getByRole("button", { name: "Hand on a bundle…" }).click();
  const sheet = page.getByRole("dialog");
  const make = readers === "everybody" ? /^Make it for everybody/ : /^Make it for directors/;
  await sheet.getByRole("button", { name: make }).click();
  await sheet.getByRole("link", { name: "Save the file" }).waitFor();
  await takePicture(page, `bundle-for-${readers}`);
  const saving = page.waitForEvent("download");
  await sheet.getByRole("link", { name: "Save the file" }).click();
  const saved = await saving;
  await sheet.getByRole("button", { name: "Close", exact: true }).click();
  return { name: saved.suggestedFilename(), bytes: readFileSync(await saved.path()) };
}

/** Reads a bundle into the run that is open, and takes it. Returns what the device says of it. */
export async function readIntoRun(device: Device, file: BundleFile): Promise<string> {
  const sheet = await pickInRun(device, file);
  await sheet.getByRole("button", { name: "Take it", exact: true }).click();
  const words = await sheet.getByRole("status").innerText();
  await sheet.getByRole("button", { name: "Go on", exact: true }).click();
  return words;
}

/** Picks a bundle's file in the run that is open; the sheet that looks into it. */
export async function pickInRun(device: Device, file: BundleFile): Promise<Locator> {
  await goToScreen(device, "Debrief");
  await device.page.getByRole("button", { name: "Read a bundle into this run…" }).click();
  return pick(device, file);
}

/** Picks a bundle's file on the shelf; the sheet that looks into it. */
export async function pickOnShelf(device: Device, file: BundleFile): Promise<Locator> {
  await device.page.getByRole("button", { name: "Read a bundle…" }).click();
  return pick(device, file);
}

async function pick({ page }: Device, { name, bytes }: BundleFile): Promise<Locator> {
  const sheet = page.getByRole("dialog");
  await sheet
    .getByLabel("Choose a bundle file")
    .setInputFiles({ name, mimeType: fileType, buffer: bytes });
  return sheet;
}

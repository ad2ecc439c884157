// A step panel, on the lane or the pair screen, as a person uses it.

import type { Locator } from "playwright-core";
import type { Device } from "./device.page.ts";
import { pressAndHold } from "./device.page.ts";

/** The panel of a step, once it is the step of now. */
export function stepPanel(device: Device, step: string): Locator {
  return device.page.locator(`[data-step="${step}"]`);
}

/** Opens the gates that the lane opens itself: acknowledges, counts, reads, chooses as planned. */
export async function workGates(device: Device, step: string): Promise<void> {
  const panel = stepPanel(device, step);
  const acknowledge = panel.getByRole("button", { name: /^Acknowledge/ });
  while ((await acknowledge.count()) > 0) {
    const left = await acknowledge.count();
    await acknowledge.first().click();
    await waitForCount(acknowledge, left - 1);
  }
}

/** Starts the step, once nothing is in its way. */
export async function startStep(device: Device, step: string): Promise<void> {
  const panel = stepPanel(device, step);
  await panel.getByRole("button", { name: /(^|: )Start$/ }).click();
  await panel.getByRole("button", { name: /(^|: )Done( anyway)?/ }).waitFor();
}

/** Calls the step done, once nothing is in its way. */
export async function finishStep(device: Device, step: string): Promise<void> {
  const panel = stepPanel(device, step);
  await panel.getByRole("button", { name: /(^|: )Done$/ }).click();
  await panel.waitFor({ state: "detached" });
}

/** Starts or finishes it against what is in the way. */
export async function goOnAnyway(device: Device, step: string, act: string): Promise<void> {
  const panel = stepPanel(device, step);
  const button = panel.getByRole("button", { name: new RegExp(`${act} anyway`) });
  await pressAndHold(button);
  await button.waitFor({ state: "detached" });
}

/** Counts up to the number and reports it. */
export async function reportCount(device: Device, step: string, count: number): Promise<void> {
  const panel = stepPanel(device, step);
  for (let counted = 1; counted <= count; counted += 1)
    await panel.getByRole("button", { name: /one more/ }).click();
  await panel.getByRole("button", { name: `Report ${count}` }).click();
  await panel.locator('[data-state="open"] output').waitFor();
}

/** Enters a reading on the pad. */
export async function reportReading(device: Device, step: string, value: string): Promise<void> {
  const panel = stepPanel(device, step);
  await panel.getByRole("button", { name: "Enter reading" }).click();
  const sheet = device.page.getByRole("dialog");
  await sheet.getByRole("textbox").fill(value);
  await sheet.getByRole("button", { name: "Report" }).click();
  await sheet.waitFor({ state: "detached" });
}

/** Answers the step's question. */
export async function chooseBranch(device: Device, step: string, label: string): Promise<void> {
  await stepPanel(device, step).getByRole("button", { name: label }).click();
}

async function waitForCount(locator: Locator, count: number): Promise<void> {
  if (count === 0) await locator.first().waitFor({ state: "detached" });
  else await locator.nth(count).waitFor({ state: "detached" });
}

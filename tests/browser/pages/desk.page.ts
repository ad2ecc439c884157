// The director's desk, as a person uses it.

import type { Device } from "./device.page.ts";
import { goToScreen, pressAndHold } from "./device.page.ts";

/** Asks for a code that lets one device in. */
export async function inviteDevice(desk: Device, role: string, lane: string): Promise<string> {
  const { page } = desk;
  await goToScreen(desk, "Desk");
  await page.getByRole("button", { name: "Invite a device…" }).click();
  const sheet = page.getByRole("dialog");
  await sheet.getByLabel("Role").selectOption(role);
  if (lane !== "") await sheet.getByLabel("Lane").selectOption(lane);
  await sheet.getByRole("button", { name: "Make a code" }).click();
  const code = await sheet.locator(".invite__letters").innerText();
  await sheet.getByRole("button", { name: "Close" }).click();
  return code;
}

/** Raises a hold on everyone. */
export async function holdEveryone(desk: Device, reason: string): Promise<void> {
  const { page } = desk;
  await goToScreen(desk, "Desk");
  await page.getByRole("button", { name: "Hold everyone…" }).click();
  const sheet = page.getByRole("dialog");
  await sheet.getByRole("textbox", { name: "Reason" }).fill(reason);
  await sheet.getByRole("button", { name: "Raise hold" }).click();
  await page.getByText("HOLD: everyone", { exact: true }).waitFor();
}

/** Presses one of the desk's far-reaching buttons. */
export async function holdDeskButton(desk: Device, name: string): Promise<void> {
  await goToScreen(desk, "Desk");
  await pressAndHold(desk.page.getByRole("button", { name }).first());
}

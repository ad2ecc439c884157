// The director's desk, as a person uses it.

import type { RunId } from "../../../machines/record/ids.ts";
import { joinLink } from "../../../machines/sync/join-link.ts";
import type { Device } from "./device.page.ts";
import { goToScreen, pressAndHold } from "./device.page.ts";
import { shownLetters } from "./shelf.page.ts";

/** What an invitation shows. */
export type Invited = {
  readonly code: string;
  /** Check letters of the run, to be compared on the other device. */
  readonly letters: string;
};

/** Makes an invitation that lets one device in. */
export async function inviteDevice(desk: Device, role: string, lane: string): Promise<Invited> {
  const { page } = desk;
  await goToScreen(desk, "Desk");
  await page.getByRole("button", { name: "Invite a device…" }).click();
  const sheet = page.getByRole("dialog");
  await sheet.getByLabel("Role").selectOption(role);
  if (lane !== "") await sheet.getByLabel("Lane").selectOption(lane);
  await sheet.getByRole("button", { name: "Make a code" }).click();
  const invited = {
    code: await shownLetters(desk, "code"),
    letters: await shownLetters(desk, "check"),
  };
  await sheet.getByRole("button", { name: "Close", exact: true }).click();
  return invited;
}

/** The link that the invitation's QR holds. */
export function linkOf(desk: Device, { code }: Invited): string {
  const { origin, hash } = new URL(desk.page.url());
  return joinLink(origin, code, decodeURIComponent(hash.split("/")[2] ?? "") as RunId);
}

/** Strikes a device off. */
export async function strikeOff(desk: Device, name: string): Promise<void> {
  const { page } = desk;
  await goToScreen(desk, "Desk");
  await page.getByRole("button", { name: `Strike off ${name}` }).click();
  const sheet = page.getByRole("dialog");
  await sheet.getByRole("button", { name: "Tablet lost" }).click();
  await pressAndHold(sheet.getByRole("button", { name: /^Strike off/ }));
  await sheet.waitFor({ state: "detached" });
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

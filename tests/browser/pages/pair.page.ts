// The reader's screen, as a person uses it.

import type { Device } from "./device.page.ts";
import { goToScreen } from "./device.page.ts";

/** Confirms a read-back that a lane waits for. */
export function confirmReadback(reader: Device, lane: string): Promise<void> {
  return giveWhatIsOwed(reader, `${lane}: readback of a WARNING`);
}

/** Gives the GO that a lane waits for. */
export function giveGo(reader: Device, lane: string): Promise<void> {
  return giveWhatIsOwed(reader, `${lane}: GO needed`);
}

async function giveWhatIsOwed(reader: Device, title: string): Promise<void> {
  await goToScreen(reader, "Pair");
  const owed = reader.page
    .getByRole("region", { name: "Waiting for you" })
    .locator(".owed__row")
    .filter({ hasText: title });
  await owed.first().waitFor();
  const last = owed.nth((await owed.count()) - 1);
  await owed.first().getByRole("button").click();
  await last.waitFor({ state: "detached" });
}

// The debrief, as a person takes it away; and its story without what differs from run to run.

import { readFileSync } from "node:fs";
import type { Entry } from "../../../machines/record/entry.ts";
import type { DeviceId } from "../../../machines/record/ids.ts";
import type { RunState } from "../../../machines/record/run-state.ts";
import type { Device } from "./device.page.ts";

/** A record as it is taken away. */
export type ExportedRecord = {
  readonly run: string;
  readonly entries: readonly Entry[];
  readonly state: RunState;
};

/** The text of the JSON file that the debrief saves. */
export async function exportedText(device: Device): Promise<string> {
  const saving = device.page.waitForEvent("download");
  await device.page.getByRole("link", { name: "Save as JSON" }).click();
  const saved = await saving;
  return readFileSync(await saved.path(), "utf8");
}

/** The record that the debrief saves. */
export async function exportedRecord(device: Device): Promise<ExportedRecord> {
  return JSON.parse(await exportedText(device)) as ExportedRecord;
}

/** What happened, by the names that people use: no ids, no times. */
export function storyOf({ state }: ExportedRecord): unknown {
  const nameOf = (device: DeviceId): string => state.devices[device]?.name ?? "unknown";
  return {
    phase: state.phase,
    devices: Object.values(state.devices)
      .map(({ name, role, lane }) => ({ name, role, lane }))
      .toSorted((a, b) => (a.name < b.name ? -1 : 1)),
    steps: Object.fromEntries(
      Object.entries(state.steps).map(([step, { state: stands, inPlay }]) => [
        step,
        inPlay ? stands : "not in play",
      ]),
    ),
    holds: Object.values(state.holds).map((hold) => ({
      covers: hold.scope.covers,
      reason: hold.reason,
      raisedBy: nameOf(hold.raisedBy.device),
      acknowledgedLanes: hold.acknowledgedLanes.toSorted(),
      state: hold.state,
    })),
    variances: state.variances
      .map(({ cause, kind, step, by }) => `${nameOf(by.device)}: ${kind} ${step}: ${cause}`)
      .toSorted(),
    setAside: state.log.filter(({ outcome }) => outcome === "set-aside").length,
    items: state.items,
    persons: state.persons,
    tethers: state.tethers,
    hardware: state.hardware,
  };
}

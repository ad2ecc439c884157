import { expect, test } from "vitest";
import type { Identity } from "../../../../machines/procedure/ids.ts";
import type { Entry, Recovery } from "../../../../machines/record/entry.ts";
import type { DeviceId, PublicKeyText, RunId } from "../../../../machines/record/ids.ts";
import { recoveryDeviceOf } from "../../../../machines/views/recovery-device.ts";

const desk = "desk" as DeviceId;
const spare: Recovery = {
  device: "spare" as DeviceId,
  key: "key" as PublicKeyText,
  wrapped: "wrapped",
};

function anOpening(recovery: Recovery | null, device: DeviceId = desk): Entry {
  const named = { kind: "run.opened", title: "Monday", deviceName: "Desk" } as const;
  const body = { ...named, procedure: "0".repeat(64) as Identity, recovery };
  const run = "desk.run" as RunId;
  return { run, device, seq: 1, prev: null, wallMs: 0, seen: {}, position: null, body };
}

test.each([
  ["the run's opening names it", [anOpening(spare)], "spare"],
  ["none was made", [anOpening(null)], null],
  ["the opening is not here", [], null],
  ["only an opening by another than the root names it", [anOpening(spare, "x" as DeviceId)], null],
])("the recovery key of a run: %s", (_, entries, device) => {
  expect(recoveryDeviceOf(entries)).toBe(device);
});

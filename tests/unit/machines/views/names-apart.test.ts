import { expect, test } from "vitest";
import type { DeviceId } from "../../../../machines/record/ids.ts";
import type { RunState } from "../../../../machines/record/run-state.ts";
import { withNamesApart } from "../../../../machines/views/names-apart.ts";
import { aProcedure } from "../../../support/a-procedure.ts";
import { tappedRun } from "../../../support/tapped-run.ts";

function joined(...names: readonly (readonly [device: string, name: string])[]): RunState {
  const run = tappedRun(aProcedure());
  for (const [device, deviceName] of names) {
    const letter = { kind: "device.joined", joined: device as DeviceId } as const;
    run.tap("desk", { ...letter, role: "crew", lane: null, deviceName });
  }
  return run.state();
}

function namesOf(state: RunState): readonly string[] {
  return Object.values(withNamesApart(state, (device) => device.toUpperCase()).devices).map(
    ({ name }) => name,
  );
}

test("[names-apart 1] names that differ stay; those that are shared get each its letters", () => {
  expect(namesOf(joined(["a", "EV1 tablet"], ["b", "Reader"]))).toEqual([
    "Desk",
    "EV1 tablet",
    "Reader",
  ]);
  expect(namesOf(joined(["a", "EV1 tablet"], ["b", "EV1 tablet"], ["c", "Reader"]))).toEqual([
    "Desk",
    "EV1 tablet · A",
    "EV1 tablet · B",
    "Reader",
  ]);
});

test("[names-apart 1] a state without shared names is the same object, so that nothing is drawn anew", () => {
  const state = joined(["a", "EV1 tablet"]);
  expect(withNamesApart(state, String)).toBe(state);
});

test("[names-apart 2] capitals and spaces make no other name", () => {
  expect(namesOf(joined(["a", "EV1 Tablet"], ["b", "ev1 tablet "]))).toEqual([
    "Desk",
    "EV1 Tablet · A",
    "ev1 tablet  · B",
  ]);
});

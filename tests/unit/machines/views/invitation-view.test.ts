import { expect, test } from "vitest";
import type { PositionId } from "../../../../machines/procedure/ids.ts";
import type { DeviceId } from "../../../../machines/record/ids.ts";
import type { DeviceInRun } from "../../../../machines/record/run-state.ts";
import { invitationStand } from "../../../../machines/views/invitation-view.ts";
import type { Invitation } from "../../../../machines/views/invitation-view.ts";

const ev1 = "ev1" as PositionId;
const tablet = "tablet" as DeviceId;
const expiresAtMs = 600_000;

function inRun(change: Partial<DeviceInRun> = {}): DeviceInRun {
  const named = { name: "EV1 tablet", joinedAtMs: 1_000, struckOffAtMs: null };
  return { role: "crew", lane: ev1, ...named, ...change };
}

function stand(device: DeviceInRun | null, before: Invitation["before"] = {}, nowMs = 0) {
  const invitation: Invitation = { role: "crew", lane: ev1, expiresAtMs, before };
  return invitationStand(invitation, device === null ? {} : { [tablet]: device }, nowMs);
}

test("[invitation 1] nobody came in: it is open for the time that is left, and then has lapsed", () => {
  expect(stand(null)).toEqual({ is: "open", secondsLeft: 600 });
  expect(stand(null, {}, 599_001)).toEqual({ is: "open", secondsLeft: 1 });
  expect(stand(null, {}, 600_000)).toEqual({ is: "lapsed" });
});

test("[invitation 1] a device with its role and lane has used it", () => {
  expect(stand(inRun())).toEqual({ is: "used", device: tablet, name: "EV1 tablet" });
});

test("[invitation 1] a device that was in before has not, until it is let in anew", () => {
  const before = { [tablet]: inRun() };
  expect(stand(inRun(), before).is).toBe("open");
  expect(stand(inRun({ joinedAtMs: 2_000 }), before).is).toBe("used");
});

test.each([{ role: "reader" as const }, { lane: null }, { struckOffAtMs: 5_000 }])(
  "[invitation 1] a device that is otherwise has not: %o",
  (change) => {
    expect(stand(inRun(change)).is).toBe("open");
  },
);

test("[invitation 2] one that was used does not lapse", () => {
  expect(stand(inRun(), {}, 900_000).is).toBe("used");
});

import { expect, test } from "vitest";
import type { PositionId } from "../../../../machines/procedure/ids.ts";
import { indexProcedure } from "../../../../machines/procedure/procedure-index.ts";
import type { EntryBody, Role } from "../../../../machines/record/entry.ts";
import type { DeviceId } from "../../../../machines/record/ids.ts";
import { mayWrite } from "../../../../machines/record/rights.ts";
import { mayActFor, readbackPosition } from "../../../../machines/views/may-act.ts";
import { aProcedure } from "../../../support/a-procedure.ts";

const index = indexProcedure(aProcedure());
const roles: readonly Role[] = ["director", "reader", "crew", "support", "observer"];
const lanes = [null, ...index.lanes];
const tappers = roles.flatMap((role) => lanes.map((lane) => ({ role, lane })));

test.each(tappers)("[may-act 1] $role with lane $lane acts where the rights say so", (tapper) => {
  for (const lane of index.lanes) {
    const step = index.stepsByLane.get(lane)?.[0];
    if (step === undefined) throw new Error(`no step in ${lane}`);
    const started: EntryBody = { kind: "step.started", step: step.id };
    const allowed = mayWrite({ device: "d" as DeviceId, ...tapper }, lane, started, index);
    expect(mayActFor(tapper, lane)).toBe(allowed);
  }
});

test.each(tappers)(
  "[may-act 3] a readback $role with lane $lane is offered may be written",
  (tapper) => {
    for (const lane of index.lanes) {
      const step = index.stepsByLane.get(lane)?.[0];
      const as = readbackPosition(index, tapper, lane);
      if (step === undefined || as === null) continue;
      const confirmed = { kind: "gate.readback-confirmed", step: step.id, gate: "g" } as EntryBody;
      expect(as).not.toBe(lane);
      expect(mayWrite({ device: "d" as DeviceId, ...tapper }, as, confirmed, index)).toBe(true);
    }
  },
);

test("[may-act 2] crew confirm as their own lane, a director as an inside position", () => {
  const ev1 = "ev1" as PositionId;
  expect(readbackPosition(index, { role: "crew", lane: "ev2" as PositionId }, ev1)).toBe("ev2");
  expect(readbackPosition(index, { role: "crew", lane: ev1 }, ev1)).toBeNull();
  expect(readbackPosition(index, { role: "director", lane: null }, ev1)).toBe("iv");
  expect(readbackPosition(index, { role: "observer", lane: null }, ev1)).toBeNull();
});

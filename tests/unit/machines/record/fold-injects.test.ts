// Responses to an inject that come before it in the order.

import { expect, test } from "vitest";
import { indexProcedure } from "../../../../machines/procedure/procedure-index.ts";
import type { InjectId } from "../../../../machines/procedure/ids.ts";
import { foldRun } from "../../../../machines/record/fold-run.ts";
import { orderEntries } from "../../../../machines/record/order-entries.ts";
import { aProcedure } from "../../../support/a-procedure.ts";
import { aRecord } from "../../../support/a-record.ts";

const index = indexProcedure(aProcedure());
const inject = "lost-loop" as InjectId;

test("[fold-injects 2] a response that was entered before the inject was fired is kept", () => {
  const record = aRecord();
  const injectNow = () => foldRun(index, orderEntries(record.entries).ordered).injects[inject];
  record.tap("desk", { kind: "inject.armed", inject, trigger: { byHand: true } });
  const early = record.tap("tablet-1", { kind: "inject.responded", inject, text: "Signals." });
  expect(injectNow()).toMatchObject({ liveAtMs: null, responses: [{ by: early }] });
  const card = { name: "Lost loop", card: "No voice.", shownTo: [] };
  const fired = record.tap("desk", { kind: "inject.fired", inject, ...card }, { hears: "nobody" });
  const firedAtMs = record.nowMs();
  const late = record.tap("tablet-2", { kind: "inject.responded", inject, text: "Lamp." });
  expect(injectNow()).toMatchObject({
    name: "Lost loop",
    liveAtMs: firedAtMs,
    responses: [
      { by: early, position: "ev1", text: "Signals." },
      { by: late, position: "ev2", text: "Lamp." },
    ],
  });
  record.tap("desk", { kind: "entry.withdrawn", withdrawn: fired, reason: "mis-tap" });
  expect(injectNow()?.responses.map(({ by }) => by)).toEqual([early, late]);
});

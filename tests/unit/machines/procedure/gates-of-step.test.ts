import { expect, test } from "vitest";
import { gatesOfStep, isHazardGateId } from "../../../../machines/procedure/gates-of-step.ts";
import type { GateId } from "../../../../machines/procedure/ids.ts";
import type { Hazard, StepGate } from "../../../../machines/procedure/step.ts";
import { aStep } from "../../../support/procedure-parts.ts";

const hazard = (word: Hazard["word"], text: string): Hazard => ({ word, text, sort: "other" });
const count: StepGate = {
  id: "bolts" as GateId,
  before: "done",
  sort: "count",
  label: "Bolts",
  target: 4,
};

test("[gates 1] [gates 2] [gates 3] hazards bring gates, counted by word, before the author's", () => {
  const step = aStep("s", {
    hazards: [
      hazard("warning", "w1"),
      hazard("note", "n1"),
      hazard("caution", "c1"),
      hazard("warning", "w2"),
      hazard("caution", "c2"),
    ],
    gates: [count],
  });
  const gates = gatesOfStep(step).map((gate) => ({
    id: gate.id,
    sort: gate.sort,
    before: gate.before,
    text: "hazard" in gate ? gate.hazard.text : null,
  }));
  expect(gates).toEqual([
    { id: "caution-1", sort: "caution", before: "start", text: "c1" },
    { id: "caution-2", sort: "caution", before: "start", text: "c2" },
    { id: "warning-1", sort: "warning", before: "start", text: "w1" },
    { id: "warning-2", sort: "warning", before: "start", text: "w2" },
    { id: "bolts", sort: "count", before: "done", text: null },
  ]);
});

test("[gates 1] a step without hazards and gates has none", () => {
  expect(gatesOfStep(aStep("s"))).toEqual([]);
});

test("[gates 2] the ids of hazard gates are told from others", () => {
  expect(["caution-1", "warning-12"].map(isHazardGateId)).toEqual([true, true]);
  expect(["caution", "caution-0", "warning-1a", "bolts"].some(isHazardGateId)).toBe(false);
});

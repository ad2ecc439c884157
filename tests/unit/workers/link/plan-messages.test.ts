import { expect, test } from "vitest";
import { readPlannerMessage, readPlannerOrder } from "../../../../workers/link/plan-messages.ts";

const report = { title: "", revision: "", headline: "", stepCount: 1 };
const lists = { groups: [], parts: [], suits: [], returns: {} };
const fault = { path: "", code: "missing-member", says: "It is missing.", mend: "Put it in." };

test("[plan-messages 1] an order is read with whatever document it carries", () => {
  for (const document of [null, 7, { a: 1 }]) {
    const order = { type: "plan.check", document };
    expect(readPlannerOrder(order)).toEqual(order);
  }
});

test.each([
  { type: "plan.progressed", part: 0, parts: 7, name: "order" },
  { type: "plan.checked", report: { ...report, ...lists } },
  { type: "plan.refused", faults: [fault], count: 1 },
  { type: "plan.failed", says: "It broke." },
])("[plan-messages 1] $type is read as it is", (message) => {
  expect(readPlannerMessage(message)).toEqual(message);
});

test.each([
  null,
  "plan.checked",
  {},
  { type: "plan.check" },
  { type: "plan.progressed", part: 7, parts: 7, name: "order" },
  { type: "plan.progressed", part: -1, parts: 7, name: "order" },
  { type: "plan.progressed", part: 0, parts: 7 },
  { type: "plan.checked", report },
  { type: "plan.checked", report: { ...lists } },
  { type: "plan.refused", faults: [{}], count: 1 },
  { type: "plan.refused", faults: [fault] },
  { type: "plan.failed" },
  { type: "plan.wished-for" },
])("[plan-messages 1] %j is none of ours", (value) => {
  expect(readPlannerMessage(value)).toBeNull();
  expect(readPlannerOrder(value)).toBeNull();
});

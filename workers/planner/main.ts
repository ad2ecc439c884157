// The planner: a web worker that checks plans, so that the page never waits. The page ends it to
// cancel; see `workers/link/plan-messages.ts`.

/// <reference lib="webworker" />

import { readPlannerOrder } from "../link/plan-messages.ts";
import { carryOutPlannerOrder } from "./check-plan-job.ts";

declare const self: DedicatedWorkerGlobalScope;

self.addEventListener("message", (event) => {
  const order = readPlannerOrder(event.data);
  if (order !== null) carryOutPlannerOrder(order, (message) => self.postMessage(message));
});

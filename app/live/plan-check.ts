// A check of a plan, as a signal: it runs in a worker of its own, so that the page goes on.
//
// [plan-check 1] Cancelling ends the worker at once; nothing that it still sent is shown.
// [plan-check 2] A new check is done by a new worker, and the one before is ended.
// [plan-check 3] Whatever goes wrong ends in words for the person, never in a check that goes on for ever.

import { signal } from "@preact/signals";
import type { ReadonlySignal } from "@preact/signals";
import type { Fault } from "../../machines/procedure/fault.ts";
import type { PlanReport } from "../../machines/views/plan-report.ts";
import { readPlannerMessage } from "../../workers/link/plan-messages.ts";
import type { PlannerMessage, PlannerOrder } from "../../workers/link/plan-messages.ts";
import type { TapRefusal } from "./live-run.ts";
import { refusalOf } from "./refusal-of.ts";

/** How a check stands. */
export type PlanCheckState =
  | {
      readonly state: "checking";
      readonly part: number;
      readonly parts: number;
      readonly name: string;
    }
  | { readonly state: "cancelled" }
  | { readonly state: "checked"; readonly report: PlanReport }
  /** What is stored is no procedure that can be checked; `count` faults, of which some are listed. */
  | { readonly state: "refused"; readonly faults: readonly Fault[]; readonly count: number }
  | { readonly state: "failed"; readonly refusal: TapRefusal };

/** A check that can be started again and cancelled. */
export type PlanCheck = {
  readonly state: ReadonlySignal<PlanCheckState>;
  /** Starts, or starts again. */
  readonly start: () => void;
  readonly cancel: () => void;
  /** Ends the worker when nobody looks any more. */
  readonly close: () => void;
};

/** What this needs of a web worker. */
export type PlannerDoor = {
  readonly send: (order: PlannerOrder) => void;
  readonly end: () => void;
};

/** Opens a planner; it calls back with what the planner says, or when it broke. */
export type OpenPlanner = (
  onMessage: (value: unknown) => void,
  onBroken: (says: string) => void,
) => PlannerDoor;

/**
 * A check that has not begun. Errors: none; what goes wrong is in the state.
 *
 * @param readDocument the stored procedure, whatever is there; null: it is not on this device
 */
export function createPlanCheck(
  readDocument: () => Promise<unknown>,
  openPlanner: OpenPlanner = openPlannerWorker,
): PlanCheck {
  const state = signal<PlanCheckState>({ state: "cancelled" });
  let current: Attempt | null = null;
  const end = (): void => {
    current?.door?.end();
    current = null;
  };
  const start = (): void => {
    end();
    const attempt: Attempt = { door: null };
    current = attempt;
    const show = (next: PlanCheckState): void => {
      if (current !== attempt) return;
      state.value = next;
      if (next.state !== "checking") end();
    };
    const fail = (cause: unknown): void => show({ state: "failed", refusal: refusalOf(cause) });
    const sendOff = async (): Promise<void> => {
      const document = await readDocument();
      if (current !== attempt) return;
      if (document === null) return show({ state: "failed", refusal: notHere });
      attempt.door = openPlanner(
        (value) => show(stateAfter(readPlannerMessage(value))),
        (says) => show({ state: "failed", refusal: brokenBy(says) }),
      );
      attempt.door.send({ type: "plan.check", document });
    };
    show({ state: "checking", part: 0, parts: 1, name: "reading" });
    void sendOff().catch(fail);
  };
  const cancel = (): void => {
    if (state.peek().state !== "checking") return;
    end();
    state.value = { state: "cancelled" };
  };
  return { state, start, cancel, close: end };
}

/** One check; `door`: its planner, once it is open. */
type Attempt = { door: PlannerDoor | null };

const notHere: TapRefusal = {
  says: "This procedure is not on this device.",
  mend: "Go to the shelf and ask the hub for procedures, or bring in its file.",
};

function brokenBy(says: string): TapRefusal {
  return {
    says: `The check itself broke, so nothing can be said of this plan: ${says}`,
    mend: "Check again. If it breaks again, report it with these words.",
  };
}

function stateAfter(message: PlannerMessage | null): PlanCheckState {
  if (message === null) {
    return { state: "failed", refusal: brokenBy("an answer came that can’t be read.") };
  }
  switch (message.type) {
    case "plan.progressed":
      return { state: "checking", part: message.part, parts: message.parts, name: message.name };
    case "plan.checked":
      return { state: "checked", report: message.report };
    case "plan.refused":
      return { state: "refused", faults: message.faults, count: message.count };
    case "plan.failed":
      return { state: "failed", refusal: brokenBy(message.says) };
  }
}

const openPlannerWorker: OpenPlanner = (onMessage, onBroken) => {
  const worker = new Worker(new URL("../../workers/planner/main.ts", import.meta.url), {
    type: "module",
    name: "planner",
  });
  worker.addEventListener("message", (event: MessageEvent<unknown>) => onMessage(event.data));
  worker.addEventListener("messageerror", () => onBroken("an answer could not be carried over."));
  worker.addEventListener("error", (event) => {
    onBroken(event.message || "the planner could not be started.");
  });
  return {
    send: (order) => worker.postMessage(order),
    end: () => worker.terminate(),
  };
};

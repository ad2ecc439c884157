// The step chart: one step of one lane, from standing by to finished.
//
//        step.assessed, by its readiness, from any of the four to any of the four
//      .----------------+----------------+----------------.
//      v                v                v                v
//  standing-by       waiting           gated            clear --- step.started ---> working
//      |                |                |                |                            |
//      |                |                |                +------- step.done ----------+--> done
//      |                |                |                +------- step.partly-done ---+--> partly-done
//      +----------------+----------------+----------------+------- step.deferred ------+--> deferred
//      +----------------+----------------+----------------+------- step.not-performed -+--> not-performed
//
//  partly-done, deferred -- step.deferred, step.not-performed --> deferred, not-performed
//  partly-done, deferred, not-performed -- step.started (unblocked) --> working
//                                       -- step.done (unblocked) -----> done
//  every state -- step.reopened --> standing-by
//  every state but done -- a forced event --> what the event says
//
// What holds in each state:
//   standing-by    it is not this step's turn in its lane, or the run is in no phase for steps
//   waiting        its turn has come; something besides its own gates is in the way
//   gated          nothing but its own gates before the start is in the way
//   clear          nothing is in the way
//   working        it was started and is not finished
//   done           it was done whole; its effects hold
//   partly-done    it was left unfinished; what remains is recorded
//   deferred       it was put off
//   not-performed  it was left out
//
// [step 1] By proper events a step starts only when clear, or unblocked after it had been set
//   aside.
// [step 2] By proper events a step is done only when unblocked: its gates open, its choice made, no
//   hold on it.
// [step 3] A forced event leads from every state but done to what happened.
// [step 4] Done is left by step.reopened only: who thinks otherwise withdraws the entry that said
//   so.
// [step 5] An assessment moves a step among the first four states and nowhere else.

import { setup } from "xstate";
import { compileChart } from "./chart-table.ts";
import type { ChartTable } from "./chart-table.ts";

/** States of the step chart. */
export type StepChartState =
  | "standing-by"
  | "waiting"
  | "gated"
  | "clear"
  | "working"
  | "done"
  | "partly-done"
  | "deferred"
  | "not-performed";

/** How near to its start a step is. */
export type StepReadiness = "standing-by" | "waiting" | "gated" | "clear";

/**
 * Events of the step chart. `unblocked`: nothing that the fold knows of is in the way. `forced`: it
 * happened although the chart did not take it. `stands`: what a reopened step goes back to.
 */
export type StepChartEvent =
  | { readonly type: "step.assessed"; readonly readiness: StepReadiness }
  | { readonly type: "step.started"; readonly unblocked: boolean; readonly forced: boolean }
  | { readonly type: "step.done"; readonly unblocked: boolean; readonly forced: boolean }
  | { readonly type: "step.partly-done"; readonly forced: boolean }
  | { readonly type: "step.deferred"; readonly forced: boolean }
  | { readonly type: "step.not-performed"; readonly forced: boolean }
  | { readonly type: "step.reopened" };

const assessed = [
  { guard: "isStandingBy", target: "standing-by" },
  { guard: "isWaiting", target: "waiting" },
  { guard: "isGated", target: "gated" },
  { guard: "isClear", target: "clear" },
] as const;

const notStarted = {
  "step.assessed": assessed,
  "step.deferred": "deferred",
  "step.not-performed": "not-performed",
} as const;

const takenUpAgain = {
  "step.started": { guard: "isUnblocked", target: "working" },
  "step.done": { guard: "isUnblocked", target: "done" },
} as const;

/** The chart itself. */
export const stepChart = setup({
  types: { events: {} as StepChartEvent },
  guards: {
    isForced: ({ event }) => "forced" in event && event.forced,
    isUnblocked: ({ event }) => "unblocked" in event && event.unblocked,
    isStandingBy: ({ event }) => "readiness" in event && event.readiness === "standing-by",
    isWaiting: ({ event }) => "readiness" in event && event.readiness === "waiting",
    isGated: ({ event }) => "readiness" in event && event.readiness === "gated",
    isClear: ({ event }) => "readiness" in event && event.readiness === "clear",
  },
}).createMachine({
  id: "step",
  initial: "standing-by",
  on: {
    "step.started": { guard: "isForced", target: ".working" },
    "step.done": { guard: "isForced", target: ".done" },
    "step.partly-done": { guard: "isForced", target: ".partly-done" },
    "step.deferred": { guard: "isForced", target: ".deferred" },
    "step.not-performed": { guard: "isForced", target: ".not-performed" },
    "step.reopened": ".standing-by",
  },
  states: {
    "standing-by": { on: notStarted },
    waiting: { on: notStarted },
    gated: { on: notStarted },
    clear: {
      on: {
        ...notStarted,
        "step.started": "working",
        "step.done": { guard: "isUnblocked", target: "done" },
        "step.partly-done": "partly-done",
      },
    },
    working: {
      on: {
        "step.done": { guard: "isUnblocked", target: "done" },
        "step.partly-done": "partly-done",
        "step.deferred": "deferred",
        "step.not-performed": "not-performed",
      },
    },
    done: {
      // An empty transition keeps the forced one of the whole chart from being taken.
      on: {
        "step.started": {},
        "step.done": {},
        "step.partly-done": {},
        "step.deferred": {},
        "step.not-performed": {},
      },
    },
    "partly-done": {
      on: {
        ...takenUpAgain,
        "step.deferred": "deferred",
        "step.not-performed": "not-performed",
      },
    },
    deferred: { on: { ...takenUpAgain, "step.not-performed": "not-performed" } },
    "not-performed": { on: takenUpAgain },
  },
});

const readinesses: readonly StepReadiness[] = ["standing-by", "waiting", "gated", "clear"];
const flags = [false, true] as const;

/** The chart's alphabet. */
export const stepSymbols: readonly StepChartEvent[] = [
  ...readinesses.map((readiness) => ({ type: "step.assessed", readiness }) as const),
  ...flags.flatMap((forced) => [
    ...flags.map((unblocked) => ({ type: "step.started", unblocked, forced }) as const),
    ...flags.map((unblocked) => ({ type: "step.done", unblocked, forced }) as const),
    { type: "step.partly-done", forced } as const,
    { type: "step.deferred", forced } as const,
    { type: "step.not-performed", forced } as const,
  ]),
  { type: "step.reopened" },
];

/** The chart's transition table. */
export const stepTable: ChartTable<StepChartState, StepChartEvent> = compileChart(
  stepChart,
  stepSymbols,
);

// The run chart: one rehearsal, from its opening to its end; and the real stop over all of it.
//
//   unopened -- run.opened --> briefing -- run.started --> under-way <== run.held ==> holding
//                                |                             |      run.released       |
//                                |                             +---- run.terminated -----+--> terminating
//                                |                             +---- run.aborted --------+--> aborting
//                                |                             |     (from terminating too)
//                                +-- run.closing-started ------+-- (from all of these) -----> closing
//                                                                                               |
//                                                                     closed <-- run.closed ----+
//
//   every state P -- run.real-stop-called --> real-stop.P -- run.resumed --> P
//   every state -- a forced event --> what the event says; within the real stop: real-stop.(it)
//   every state -- run.reopened --> briefing; within the real stop: real-stop.briefing
//
// Outside the real stop the state's name is no-stop.P; the diagram leaves the "no-stop" out.
//
// What holds in each state:
//   unopened     no entry has opened the run
//   briefing     it is open; people and devices join; no step may start
//   under-way    steps go on
//   holding      steps go on, but a hold covers everyone
//   terminating  an orderly return, items and tethers gathered
//   aborting     straight to the hatch
//   closing      nobody is out; counts and remarks are gathered
//   closed       it is over
//   real-stop.P  over each of these: the exercise has stopped for a real reason; P is what the run
//                was at
//
// [run 1] A real stop is taken in every state, and is left by run.resumed only.
// [run 2] Within a real stop no proper event but run.resumed is taken; a forced one changes what
//   the run will resume at.
// [run 3] Under way and holding differ by whether a hold on everyone stands, and nothing else does.
// [run 4] A forced event leads to what happened from every state; run.reopened comes of withdrawals
//   only.

import { setup } from "xstate";
import { compileChart } from "./chart-table.ts";
import type { ChartTable } from "./chart-table.ts";

/** Phases of a run, apart from the real stop. */
export type RunChartPhase =
  | "unopened"
  | "briefing"
  | "under-way"
  | "holding"
  | "terminating"
  | "aborting"
  | "closing"
  | "closed";

/** States of the run chart. */
export type RunChartState = `${"no-stop" | "real-stop"}.${RunChartPhase}`;

/**
 * Events of the run chart. `forced`: it happened although the chart did not take it. `run.held` and
 * `run.released`: a hold on everyone now stands, or none does.
 */
export type RunChartEvent =
  | { readonly type: "run.opened"; readonly forced: boolean }
  | { readonly type: "run.started"; readonly forced: boolean }
  | { readonly type: "run.terminated"; readonly forced: boolean }
  | { readonly type: "run.aborted"; readonly forced: boolean }
  | { readonly type: "run.closing-started"; readonly forced: boolean }
  | { readonly type: "run.closed"; readonly forced: boolean }
  | { readonly type: "run.held" }
  | { readonly type: "run.released" }
  | { readonly type: "run.reopened" }
  | { readonly type: "run.real-stop-called" }
  | { readonly type: "run.resumed" };

const forcedTransitions = {
  "run.opened": { guard: "isForced", target: ".briefing" },
  "run.started": { guard: "isForced", target: ".under-way" },
  "run.terminated": { guard: "isForced", target: ".terminating" },
  "run.aborted": { guard: "isForced", target: ".aborting" },
  "run.closing-started": { guard: "isForced", target: ".closing" },
  "run.closed": { guard: "isForced", target: ".closed" },
  "run.reopened": ".briefing",
} as const;

const leavingForHatch = {
  "run.aborted": "aborting",
  "run.closing-started": "closing",
} as const;

/** The chart itself. */
export const runChart = setup({
  types: { events: {} as RunChartEvent },
  guards: { isForced: ({ event }) => "forced" in event && event.forced },
}).createMachine({
  id: "run",
  initial: "no-stop",
  states: {
    "no-stop": {
      initial: "unopened",
      on: forcedTransitions,
      states: {
        unopened: {
          on: { "run.opened": "briefing", "run.real-stop-called": "#run.real-stop.unopened" },
        },
        briefing: {
          on: {
            "run.started": "under-way",
            "run.closing-started": "closing",
            "run.real-stop-called": "#run.real-stop.briefing",
          },
        },
        "under-way": {
          on: {
            ...leavingForHatch,
            "run.held": "holding",
            "run.terminated": "terminating",
            "run.real-stop-called": "#run.real-stop.under-way",
          },
        },
        holding: {
          on: {
            ...leavingForHatch,
            "run.released": "under-way",
            "run.terminated": "terminating",
            "run.real-stop-called": "#run.real-stop.holding",
          },
        },
        terminating: {
          on: { ...leavingForHatch, "run.real-stop-called": "#run.real-stop.terminating" },
        },
        aborting: {
          on: {
            "run.closing-started": "closing",
            "run.real-stop-called": "#run.real-stop.aborting",
          },
        },
        closing: {
          on: { "run.closed": "closed", "run.real-stop-called": "#run.real-stop.closing" },
        },
        closed: { on: { "run.real-stop-called": "#run.real-stop.closed" } },
      },
    },
    "real-stop": {
      initial: "unopened",
      on: forcedTransitions,
      states: {
        unopened: { on: { "run.resumed": "#run.no-stop.unopened" } },
        briefing: { on: { "run.resumed": "#run.no-stop.briefing" } },
        "under-way": {
          on: { "run.held": "holding", "run.resumed": "#run.no-stop.under-way" },
        },
        holding: {
          on: { "run.released": "under-way", "run.resumed": "#run.no-stop.holding" },
        },
        terminating: { on: { "run.resumed": "#run.no-stop.terminating" } },
        aborting: { on: { "run.resumed": "#run.no-stop.aborting" } },
        closing: { on: { "run.resumed": "#run.no-stop.closing" } },
        closed: { on: { "run.resumed": "#run.no-stop.closed" } },
      },
    },
  },
});

/** The chart's alphabet. */
export const runSymbols: readonly RunChartEvent[] = [
  ...[false, true].flatMap((forced) => [
    { type: "run.opened", forced } as const,
    { type: "run.started", forced } as const,
    { type: "run.terminated", forced } as const,
    { type: "run.aborted", forced } as const,
    { type: "run.closing-started", forced } as const,
    { type: "run.closed", forced } as const,
  ]),
  { type: "run.held" },
  { type: "run.released" },
  { type: "run.reopened" },
  { type: "run.real-stop-called" },
  { type: "run.resumed" },
];

/** The chart's transition table. */
export const runTable: ChartTable<RunChartState, RunChartEvent> = compileChart(
  runChart,
  runSymbols,
);

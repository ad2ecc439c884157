// The inject chart: a simulated off-nominal case, from the script to its end.
//
//   scripted -- inject.armed --> armed -- inject.fired --> live -- inject.responded --> responded
//      |                          | ^                       |                            |  | ^
//      |                          +-+ inject.armed          |          inject.responded  |  +-+
//      +-------------- inject.fired (by hand) ------------->+                            |
//                                                           +------ inject.cleared ------+--> cleared
//
//   every state -- a forced event --> what the event says
//   every state -- inject.reopened --> scripted
//
// What holds in each state:
//   scripted   nothing of it has left the directors' devices
//   armed      a director means to fire it; still nothing of it has left the directors' devices
//   live       the crew has been shown its card; a response is awaited
//   responded  somebody has responded; it goes on
//   cleared    it is over
//
// [inject 1] Until it is live, by inject.fired and nothing else, no other device holds any of it.
// [inject 2] A forced event leads from every state to what happened.
// [inject 3] inject.reopened comes of withdrawals only.
// A grade changes nothing here: it may be given at any time after it went live.

import { setup } from "xstate";
import { compileChart } from "./chart-table.ts";
import type { ChartTable } from "./chart-table.ts";

/** States of the inject chart. */
export type InjectChartState = "scripted" | "armed" | "live" | "responded" | "cleared";

/** Events of the inject chart. `forced`: it happened although the chart did not take it. */
export type InjectChartEvent =
  | { readonly type: "inject.armed"; readonly forced: boolean }
  | { readonly type: "inject.fired"; readonly forced: boolean }
  | { readonly type: "inject.responded"; readonly forced: boolean }
  | { readonly type: "inject.cleared"; readonly forced: boolean }
  | { readonly type: "inject.reopened" };

/** The chart itself. */
export const injectChart = setup({
  types: { events: {} as InjectChartEvent },
  guards: { isForced: ({ event }) => "forced" in event && event.forced },
}).createMachine({
  id: "inject",
  initial: "scripted",
  on: {
    "inject.armed": { guard: "isForced", target: ".armed" },
    "inject.fired": { guard: "isForced", target: ".live" },
    "inject.responded": { guard: "isForced", target: ".responded" },
    "inject.cleared": { guard: "isForced", target: ".cleared" },
    "inject.reopened": ".scripted",
  },
  states: {
    scripted: { on: { "inject.armed": "armed", "inject.fired": "live" } },
    armed: { on: { "inject.armed": "armed", "inject.fired": "live" } },
    live: { on: { "inject.responded": "responded", "inject.cleared": "cleared" } },
    responded: { on: { "inject.responded": "responded", "inject.cleared": "cleared" } },
    cleared: {},
  },
});

/** The chart's alphabet. */
export const injectSymbols: readonly InjectChartEvent[] = [
  ...[false, true].flatMap((forced) => [
    { type: "inject.armed", forced } as const,
    { type: "inject.fired", forced } as const,
    { type: "inject.responded", forced } as const,
    { type: "inject.cleared", forced } as const,
  ]),
  { type: "inject.reopened" },
];

/** The chart's transition table. */
export const injectTable: ChartTable<InjectChartState, InjectChartEvent> = compileChart(
  injectChart,
  injectSymbols,
);

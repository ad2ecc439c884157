// The gate chart: what must open before a step may start or be called done.
//
//            gate.acknowledged (needsReadback, not confirmed)
//   closed -------------------------------------------------> acknowledged
//    | ^                                                        |     |
//    | | count or reading outside, gate.closed                  |     | gate.overridden
//    | |                                                        |     v
//    | +------------------------------------------------ open <-+  overridden
//    |   gate.acknowledged (needs no read-back, or confirmed)  ^     ^  |
//    |   gate.go-given, count (reached), reading (within) -----+     |  | count (reached), reading (within)
//    +---------------------------- gate.overridden ------------------+  +--> open
//
//   acknowledged -- gate.readback-confirmed (secondPosition) --> open
//   every state -- gate.closed --> closed
//
// What holds in each state:
//   closed        nobody has opened it; the step may not start, or not be called done
//   acknowledged  the lane has read the warning back; a second position has still to confirm
//   open          what it asks for has been done
//   overridden    somebody let it pass without, for a reason that is recorded
//
// [gate 1] A gate that needs a read-back opens only when the lane has acknowledged it and a second
//   position has confirmed it, in whichever order the two came.
// [gate 2] A count gate is open only while the last count reached its number, a reading gate only
//   while the last reading lay within its limits; or they are overridden.
// [gate 3] An override stands until what the gate asks for is done, or it is withdrawn.
// [gate 4] gate.closed leads from every state to closed; it comes of withdrawals only.
// There are no forced events: what somebody did at a gate is never out of order, it only may not
// suffice.

import { setup } from "xstate";
import { compileChart } from "./chart-table.ts";
import type { ChartTable } from "./chart-table.ts";

/** States of the gate chart. */
export type GateChartState = "closed" | "acknowledged" | "open" | "overridden";

/**
 * Events of the gate chart. `needsReadback`: it is a warning's gate. `confirmed`: a second position
 * confirmed the read-back before. `secondPosition`: who confirms is not who acknowledged.
 */
export type GateChartEvent =
  | {
      readonly type: "gate.acknowledged";
      readonly needsReadback: boolean;
      readonly confirmed: boolean;
    }
  | { readonly type: "gate.readback-confirmed"; readonly secondPosition: boolean }
  | { readonly type: "gate.go-given" }
  | { readonly type: "gate.count-reported"; readonly reached: boolean }
  | { readonly type: "gate.reading-reported"; readonly within: boolean }
  | { readonly type: "gate.overridden" }
  | { readonly type: "gate.closed" };

const fulfilled = {
  "gate.go-given": "open",
  "gate.count-reported": { guard: "isReached", target: "open" },
  "gate.reading-reported": { guard: "isWithin", target: "open" },
} as const;

/** The chart itself. */
export const gateChart = setup({
  types: { events: {} as GateChartEvent },
  guards: {
    suffices: ({ event }) => "needsReadback" in event && (!event.needsReadback || event.confirmed),
    isSecondPosition: ({ event }) => "secondPosition" in event && event.secondPosition,
    isReached: ({ event }) => "reached" in event && event.reached,
    isWithin: ({ event }) => "within" in event && event.within,
  },
}).createMachine({
  id: "gate",
  initial: "closed",
  on: { "gate.closed": ".closed" },
  states: {
    closed: {
      on: {
        ...fulfilled,
        "gate.acknowledged": [{ guard: "suffices", target: "open" }, { target: "acknowledged" }],
        "gate.overridden": "overridden",
      },
    },
    acknowledged: {
      on: {
        "gate.readback-confirmed": { guard: "isSecondPosition", target: "open" },
        "gate.overridden": "overridden",
      },
    },
    open: {
      on: {
        "gate.count-reported": [{ guard: "isReached", target: "open" }, { target: "closed" }],
        "gate.reading-reported": [{ guard: "isWithin", target: "open" }, { target: "closed" }],
      },
    },
    overridden: { on: fulfilled },
  },
});

const flags = [false, true] as const;

/** The chart's alphabet. */
export const gateSymbols: readonly GateChartEvent[] = [
  ...flags.flatMap((needsReadback) =>
    flags.map((confirmed) => ({ type: "gate.acknowledged", needsReadback, confirmed }) as const),
  ),
  ...flags.map((secondPosition) => ({ type: "gate.readback-confirmed", secondPosition }) as const),
  { type: "gate.go-given" },
  ...flags.map((reached) => ({ type: "gate.count-reported", reached }) as const),
  ...flags.map((within) => ({ type: "gate.reading-reported", within }) as const),
  { type: "gate.overridden" },
  { type: "gate.closed" },
];

/** The chart's transition table. */
export const gateTable: ChartTable<GateChartState, GateChartEvent> = compileChart(
  gateChart,
  gateSymbols,
);

// The hold chart: a stop of everyone, one lane or one task, from raised to released.
//
//             hold.acknowledged (not by all)
//               .---.
//               |   v
//   (raised) -> raised -- hold.acknowledged (byAll) --> acknowledged
//                 ^  |                                    |   ^
//                 |  +---------- hold.released -----+-----+   |
//                 |                                 v         |
//                 +-- hold.reopened (not byAll) -- released --+ hold.reopened (byAll)
//
//   raised, acknowledged -- hold.reopened --> raised, or acknowledged if byAll
//
// What holds in each state:
//   raised        it stands; a lane that it covers has not acknowledged it yet
//   acknowledged  it stands; every lane that it covers has acknowledged it
//   released      it stands no more
//
// [hold 1] A hold stands from the moment it is raised, acknowledged or not, until it is released.
// [hold 2] It is acknowledged only when every lane that it covers has acknowledged it.
// [hold 3] hold.reopened comes of withdrawals only: of its release, or of an acknowledgement.
// Whether the one who releases may do so is a matter of rights, not of this chart.

import { setup } from "xstate";
import { compileChart } from "./chart-table.ts";
import type { ChartTable } from "./chart-table.ts";

/** States of the hold chart. */
export type HoldChartState = "raised" | "acknowledged" | "released";

/** Events of the hold chart. `byAll`: every lane that it covers has now acknowledged it. */
export type HoldChartEvent =
  | { readonly type: "hold.acknowledged"; readonly byAll: boolean }
  | { readonly type: "hold.released" }
  | { readonly type: "hold.reopened"; readonly byAll: boolean };

/** The chart itself. */
export const holdChart = setup({
  types: { events: {} as HoldChartEvent },
  guards: { isByAll: ({ event }) => "byAll" in event && event.byAll },
}).createMachine({
  id: "hold",
  initial: "raised",
  on: {
    "hold.reopened": [{ guard: "isByAll", target: ".acknowledged" }, { target: ".raised" }],
  },
  states: {
    raised: {
      on: {
        "hold.acknowledged": [{ guard: "isByAll", target: "acknowledged" }, { target: "raised" }],
        "hold.released": "released",
      },
    },
    acknowledged: { on: { "hold.released": "released" } },
    released: {},
  },
});

const flags = [false, true] as const;

/** The chart's alphabet. */
export const holdSymbols: readonly HoldChartEvent[] = [
  ...flags.map((byAll) => ({ type: "hold.acknowledged", byAll }) as const),
  { type: "hold.released" },
  ...flags.map((byAll) => ({ type: "hold.reopened", byAll }) as const),
];

/** The chart's transition table. */
export const holdTable: ChartTable<HoldChartState, HoldChartEvent> = compileChart(
  holdChart,
  holdSymbols,
);

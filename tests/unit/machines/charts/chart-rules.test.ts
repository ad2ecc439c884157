// The numbered rules at the head of each chart, checked on every state and symbol of its table.

import { expect, test } from "vitest";
import { nextState, symbolText } from "../../../../machines/charts/chart-table.ts";
import type { ChartEvent, ChartTable } from "../../../../machines/charts/chart-table.ts";
import { gateTable } from "../../../../machines/charts/gate.chart.ts";
import type { GateChartEvent } from "../../../../machines/charts/gate.chart.ts";
import { holdTable } from "../../../../machines/charts/hold.chart.ts";
import { injectTable } from "../../../../machines/charts/inject.chart.ts";
import { runTable } from "../../../../machines/charts/run.chart.ts";
import { stepTable } from "../../../../machines/charts/step.chart.ts";

type Move<State, Event> = {
  readonly from: State;
  readonly event: Event;
  readonly to: State | undefined;
};

// Every state with every symbol, and what comes of it.
function movesOf<State extends string, Event extends ChartEvent>(
  table: ChartTable<State, Event>,
): Move<State, Event>[] {
  return table.states.flatMap((from) =>
    table.symbols.map((event) => ({ from, event, to: nextState(table, from, event) })),
  );
}

const isForced = (event: ChartEvent): boolean => "forced" in event && event.forced === true;
const taken = <State, Event>(move: Move<State, Event>): boolean => move.to !== undefined;
const texts = (moves: readonly Move<string, ChartEvent>[]): string[] =>
  moves.map(({ from, event, to }) => `${from} -- ${symbolText(event)} --> ${String(to)}`);

const firstFour: readonly string[] = ["standing-by", "waiting", "gated", "clear"];

test("[step 1] by proper events a step starts only when clear, or unblocked after it was set aside", () => {
  const starts = movesOf(stepTable).filter(
    (move) => taken(move) && move.to === "working" && !isForced(move.event),
  );
  expect(texts(starts).sort()).toEqual([
    "clear -- step.started --> working",
    "clear -- step.started unblocked --> working",
    "deferred -- step.started unblocked --> working",
    "not-performed -- step.started unblocked --> working",
    "partly-done -- step.started unblocked --> working",
  ]);
});

test("[step 2] by proper events a step is done only when unblocked", () => {
  const dones = movesOf(stepTable).filter(({ to, event }) => to === "done" && !isForced(event));
  expect(dones.length).toBe(5);
  for (const { event } of dones) expect(event).toMatchObject({ unblocked: true });
});

test("[step 3] a forced event leads from every state but done to what happened", () => {
  const targets: Readonly<Record<string, string>> = {
    "step.started": "working",
    "step.done": "done",
    "step.partly-done": "partly-done",
    "step.deferred": "deferred",
    "step.not-performed": "not-performed",
  };
  for (const { from, event, to } of movesOf(stepTable).filter((move) => isForced(move.event))) {
    expect(to).toBe(from === "done" ? undefined : targets[event.type]);
  }
});

test("[step 4] done is left by step.reopened only", () => {
  const leaving = movesOf(stepTable).filter((move) => move.from === "done" && taken(move));
  expect(texts(leaving)).toEqual(["done -- step.reopened --> standing-by"]);
});

test("[step 5] an assessment moves a step among the first four states and nowhere else", () => {
  for (const { from, event, to } of movesOf(stepTable)) {
    if (event.type !== "step.assessed") continue;
    expect(to).toBe(firstFour.includes(from) ? event.readiness : undefined);
  }
});

test("[gate 1] a gate that needs a read-back opens only by acknowledgement and a second position", () => {
  const needing: readonly string[] = ["gate.acknowledged", "gate.readback-confirmed"];
  const opening = movesOf(gateTable).filter(
    ({ event, to }) => needing.includes(event.type) && to === "open",
  );
  for (const { from, event } of opening) {
    const suffices =
      event.type === "gate.acknowledged"
        ? !event.needsReadback || event.confirmed
        : from === "acknowledged" && "secondPosition" in event && event.secondPosition;
    expect(suffices).toBe(true);
  }
  expect(texts(opening).sort()).toEqual([
    "acknowledged -- gate.readback-confirmed secondPosition --> open",
    "closed -- gate.acknowledged --> open",
    "closed -- gate.acknowledged confirmed --> open",
    "closed -- gate.acknowledged confirmed needsReadback --> open",
  ]);
});

function check(event: GateChartEvent, opens: boolean): void {
  expect(nextState(gateTable, "closed", event)).toBe(opens ? "open" : undefined);
  expect(nextState(gateTable, "open", event)).toBe(opens ? "open" : "closed");
  expect(nextState(gateTable, "overridden", event)).toBe(opens ? "open" : undefined);
}

test("[gate 2] a count or reading opens only if it suffices, and closes an open gate if it does not", () => {
  check({ type: "gate.count-reported", reached: true }, true);
  check({ type: "gate.count-reported", reached: false }, false);
  check({ type: "gate.reading-reported", within: true }, true);
  check({ type: "gate.reading-reported", within: false }, false);
});

test("[gate 3] an override is left by what the gate asks for, or by withdrawal", () => {
  const leaving = movesOf(gateTable).filter((move) => move.from === "overridden" && taken(move));
  expect(new Set(leaving.map(({ to }) => to))).toEqual(new Set(["open", "closed"]));
  for (const { event, to } of leaving) expect(event.type === "gate.closed").toBe(to === "closed");
});

test("[gate 4] gate.closed leads from every state to closed", () => {
  for (const state of gateTable.states) {
    expect(nextState(gateTable, state, { type: "gate.closed" })).toBe("closed");
  }
});

test("[hold 1] a hold stands, acknowledged or not, until it is released", () => {
  for (const { event, to } of movesOf(holdTable)) {
    if (to === "released") expect(event.type).toBe("hold.released");
  }
});

test("[hold 2] a hold is acknowledged only when every lane has acknowledged it", () => {
  for (const { event, to } of movesOf(holdTable)) {
    if (to === "acknowledged") expect(event).toMatchObject({ byAll: true });
  }
});

test("[hold 3] a released hold is raised again by hold.reopened only", () => {
  const leaving = movesOf(holdTable).filter((move) => move.from === "released" && taken(move));
  expect(leaving.map(({ event }) => event.type)).toEqual(["hold.reopened", "hold.reopened"]);
});

test("[inject 1] an inject goes live by inject.fired and nothing else", () => {
  for (const { from, event, to } of movesOf(injectTable)) {
    if (to === "live" && from !== "live") expect(event.type).toBe("inject.fired");
  }
});

test("[inject 2] a forced event leads from every state to what happened", () => {
  for (const { event, to } of movesOf(injectTable)) {
    if (isForced(event))
      expect(to).toBe(event.type.replace("inject.", "").replace("fired", "live"));
  }
});

test("[inject 3] inject.reopened leads from every state back to the script", () => {
  for (const state of injectTable.states) {
    expect(nextState(injectTable, state, { type: "inject.reopened" })).toBe("scripted");
  }
});

test("[run 1] a real stop is taken in every state and is left by run.resumed only", () => {
  for (const { from, event, to } of movesOf(runTable)) {
    const phase = from.slice(from.indexOf(".") + 1);
    if (event.type === "run.real-stop-called" && from.startsWith("no-stop.")) {
      expect(to).toBe(`real-stop.${phase}`);
    }
    if (event.type === "run.resumed" && from.startsWith("real-stop.")) {
      expect(to).toBe(`no-stop.${phase}`);
    } else if (from.startsWith("real-stop.") && to !== undefined) {
      expect(to.startsWith("real-stop.")).toBe(true);
    }
  }
});

test("[run 2] within a real stop no proper event moves the run but run.resumed", () => {
  const proper = movesOf(runTable).filter(
    (move) => move.from.startsWith("real-stop.") && taken(move) && !isForced(move.event),
  );
  // Holds and withdrawals are followed, so that the run resumes at what it then is.
  const others = proper.filter(
    ({ event }) => !/run\.(resumed|held|released|reopened)/.test(event.type),
  );
  expect(texts(others)).toEqual([]);
});

test("[run 3] under way and holding differ by whether a hold on everyone stands", () => {
  const moves = movesOf(runTable).filter(
    (move) => /run\.(held|released)/.test(move.event.type) && taken(move),
  );
  expect(texts(moves).sort()).toEqual([
    "no-stop.holding -- run.released --> no-stop.under-way",
    "no-stop.under-way -- run.held --> no-stop.holding",
    "real-stop.holding -- run.released --> real-stop.under-way",
    "real-stop.under-way -- run.held --> real-stop.holding",
  ]);
});

test("[run 4] a forced event leads from every state to what happened", () => {
  const targets: Readonly<Record<string, string>> = {
    "run.opened": "briefing",
    "run.started": "under-way",
    "run.terminated": "terminating",
    "run.aborted": "aborting",
    "run.closing-started": "closing",
    "run.closed": "closed",
  };
  for (const { from, event, to } of movesOf(runTable).filter((move) => isForced(move.event))) {
    expect(to?.split(".")).toEqual([from.split(".")[0], targets[event.type]]);
  }
});

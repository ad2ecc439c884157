// Every chart against its table, on every state and symbol; and paths to every state and transition.

import { expect, test } from "vitest";
import { createActor, initialTransition, transition } from "xstate";
import type { AnyMachineSnapshot, AnyStateMachine } from "xstate";
import { getShortestPaths, getSimplePaths } from "xstate/graph";
import {
  compileChart,
  nextState,
  stateName,
  symbolText,
} from "../../../../machines/charts/chart-table.ts";
import type { ChartEvent, ChartTable } from "../../../../machines/charts/chart-table.ts";
import { gateTable } from "../../../../machines/charts/gate.chart.ts";
import { holdTable } from "../../../../machines/charts/hold.chart.ts";
import { injectTable } from "../../../../machines/charts/inject.chart.ts";
import { runTable } from "../../../../machines/charts/run.chart.ts";
import { stepTable } from "../../../../machines/charts/step.chart.ts";

type AnyTable = ChartTable<string, ChartEvent>;

const tables: Readonly<Record<string, AnyTable>> = {
  step: stepTable,
  gate: gateTable,
  hold: holdTable,
  inject: injectTable,
  run: runTable,
};

// Names of all leaf states that the chart's configuration declares, reachable or not.
function declaredStates(chart: AnyStateMachine): string[] {
  const leaves: string[] = [];
  const queue = [{ node: chart.root, path: [] as string[] }];
  for (const { node, path } of queue) {
    const inner = Object.entries(node.states);
    if (inner.length === 0) leaves.push(path.join("."));
    for (const [name, child] of inner) queue.push({ node: child, path: [...path, name] });
  }
  return leaves;
}

function shortestPaths(table: AnyTable) {
  const events = () => [...table.symbols];
  return getShortestPaths(table.chart, { events, serializeEvent: symbolText } as never);
}

for (const [name, table] of Object.entries(tables)) {
  test(`[chart-table 1] the ${name} table has every state that the chart declares`, () => {
    expect([...table.states].sort()).toEqual(declaredStates(table.chart).sort());
  });

  test(`[chart-table 1] ${name}: table and transition() agree on every state and symbol`, () => {
    let pairs = 0;
    for (const path of shortestPaths(table)) {
      const snapshot = path.state as AnyMachineSnapshot;
      for (const symbol of table.symbols) {
        const [after] = transition(table.chart, snapshot, symbol);
        const expected = snapshot.can(symbol) ? stateName(after.value) : undefined;
        expect(nextState(table, stateName(snapshot.value), symbol)).toBe(expected);
        if (expected === undefined) expect(after.value).toEqual(snapshot.value);
        pairs += 1;
      }
    }
    expect(pairs).toBe(table.states.length * table.symbols.length);
  });

  test(`[chart-table 1] ${name}: table and a running actor agree on every transition`, () => {
    for (const path of shortestPaths(table)) {
      for (const symbol of table.symbols) {
        const actor = createActor(table.chart).start();
        let state = table.initial;
        // The first step of a path is the chart's own start.
        const events = path.steps.map((step) => step.event as ChartEvent);
        for (const event of [...events.filter(({ type }) => type !== "xstate.init"), symbol]) {
          actor.send(event);
          state = nextState(table, state, event) ?? state;
          expect(stateName(actor.getSnapshot().value)).toBe(state);
        }
        actor.stop();
      }
    }
  });

  test(`[chart-table 1] ${name}: generated paths reach every state and every transition`, () => {
    const reached = new Set(shortestPaths(table).map((path) => stateName(path.state.value)));
    expect([...reached].sort()).toEqual([...table.states].sort());
    const walked = new Set<string>();
    for (const path of shortestPaths(table)) {
      const actor = createActor(table.chart, { snapshot: path.state as never }).start();
      const snapshot = actor.getSnapshot() as AnyMachineSnapshot;
      for (const symbol of table.symbols.filter((candidate) => snapshot.can(candidate))) {
        const [after] = transition(table.chart, snapshot, symbol);
        walked.add([snapshot, after].map(({ value }) => stateName(value)).join(symbolText(symbol)));
      }
    }
    const inTable = [...table.nextByState].flatMap(([from, next]) =>
      [...next].map(([symbol, to]) => `${from}${symbol}${to}`),
    );
    expect([...walked].sort()).toEqual(inTable.sort());
  });

  test(`[chart-table 2] the ${name} chart is pure: no context, no action`, () => {
    const [start, actions] = initialTransition(table.chart);
    expect(start.context).toEqual({});
    expect(actions).toEqual([]);
    for (const path of shortestPaths(table)) {
      for (const symbol of table.symbols) {
        expect(transition(table.chart, path.state as AnyMachineSnapshot, symbol)[1]).toEqual([]);
      }
    }
  });
}

for (const name of ["gate", "hold"]) {
  test(`[chart-table 1] ${name}: every simple path ends where the table says`, () => {
    const table = tables[name] as AnyTable;
    const events = () => [...table.symbols];
    const paths = getSimplePaths(table.chart, { events, serializeEvent: symbolText } as never);
    expect(paths.length).toBeGreaterThan(table.states.length);
    for (const path of paths) {
      let state = table.initial;
      for (const { event } of path.steps) state = nextState(table, state, event) ?? state;
      expect(state).toBe(stateName(path.state.value));
    }
  });
}

test("[chart-table 1] a symbol's text does not depend on the order of its flags", () => {
  const text = symbolText({ type: "step.done", forced: true, unblocked: true } as ChartEvent);
  expect(symbolText({ type: "step.done", unblocked: true, forced: true } as ChartEvent)).toBe(text);
  expect(symbolText({ type: "step.done", unblocked: false, forced: false } as ChartEvent)).toBe(
    "step.done",
  );
});

test("[chart-table 1] distinct symbols have distinct texts", () => {
  for (const table of Object.values(tables)) {
    expect(new Set(table.symbols.map(symbolText)).size).toBe(table.symbols.length);
  }
});

test("[chart-table 2] a chart with a context or parallel regions is refused", async () => {
  const { createMachine } = await import("xstate");
  const withContext = createMachine({ context: { count: 1 }, initial: "a", states: { a: {} } });
  expect(() => compileChart(withContext, [])).toThrow("no context");
  const parallel = createMachine({
    type: "parallel",
    states: { a: { initial: "x", states: { x: {} } }, b: { initial: "y", states: { y: {} } } },
  });
  expect(() => compileChart(parallel, [])).toThrow("no parallel region");
});

// A chart's transition table: what the chart does, looked up instead of interpreted.
//
// Definition: a *symbol* is one event of a chart's finite alphabet; an event with flags is a symbol
//   of its own for each value of its flags.
// Definition: the *name* of a state is the path of its state value, joined by dots.
// [chart-table 1] The table and the chart agree on every reachable state and every symbol: whether
//   the chart takes the event, and what state it goes to. The table is made by asking the chart.
// [chart-table 2] The chart has no context, no action and no parallel region, so a state's name is
//   all that there is to know of it.

import { initialTransition, transition } from "xstate";
import type { AnyMachineSnapshot, AnyStateMachine, StateValue } from "xstate";
import { assert } from "../base/assert.ts";

/** An event of a chart: its type, and flags as flat members. */
export type ChartEvent = { readonly type: string };

/** A compiled chart. */
export type ChartTable<State extends string, Event extends ChartEvent> = {
  readonly chart: AnyStateMachine;
  readonly symbols: readonly Event[];
  readonly initial: State;
  /** Every reachable state, in the order of the walk. */
  readonly states: readonly State[];
  /** By state, then by symbol's text: the state that follows. No member: it is not taken. */
  readonly nextByState: ReadonlyMap<State, ReadonlyMap<string, State>>;
};

/**
 * Compiles a chart by walking it from its initial state with every symbol of its alphabet.
 *
 * Errors: an assertion if the chart has a context, a parallel region, or more than 200 states.
 */
export function compileChart<State extends string, Event extends ChartEvent>(
  chart: AnyStateMachine,
  symbols: readonly Event[],
): ChartTable<State, Event> {
  const [start] = initialTransition(chart);
  const initial = stateName(start.value) as State;
  const snapshotsByState = new Map<State, AnyMachineSnapshot>([[initial, start]]);
  const nextByState = new Map<State, ReadonlyMap<string, State>>();
  // A map's loop visits members that are added during the loop.
  for (const [state, snapshot] of snapshotsByState) {
    assert(Object.keys(snapshot.context).length === 0, "a chart of a table has no context");
    assert(snapshotsByState.size <= 200, "a chart of a table has few states");
    const next = new Map<string, State>();
    for (const symbol of symbols) {
      if (!snapshot.can(symbol)) continue;
      const [after] = transition(chart, snapshot, symbol);
      const afterName = stateName(after.value) as State;
      next.set(symbolText(symbol), afterName);
      if (!snapshotsByState.has(afterName)) snapshotsByState.set(afterName, after);
    }
    nextByState.set(state, next);
  }
  return { chart, symbols, initial, states: [...snapshotsByState.keys()], nextByState };
}

/**
 * The state that follows, or undefined if the chart does not take the event in this state.
 *
 * Errors: none; an event that is no symbol of the alphabet is not taken.
 */
export function nextState<State extends string, Event extends ChartEvent>(
  table: ChartTable<State, Event>,
  state: State,
  event: Event,
): State | undefined {
  return table.nextByState.get(state)?.get(symbolText(event));
}

/** A symbol's text: its type and its flags, the same whatever the order of the flags. */
export function symbolText(event: ChartEvent): string {
  const flags: string[] = [];
  const members: readonly [string, unknown][] = Object.entries(event);
  for (const [name, value] of members) {
    if (name !== "type" && value !== false) flags.push(value === true ? name : String(value));
  }
  if (flags.length > 1) flags.sort();
  return flags.length === 0 ? event.type : `${event.type} ${flags.join(" ")}`;
}

/** The name of a state: the path of its value, joined by dots. */
export function stateName(value: StateValue): string {
  if (typeof value === "string") return value;
  const parts = Object.entries(value);
  const [part] = parts;
  assert(parts.length === 1, "a chart of a table has no parallel region");
  assert(part !== undefined, "a state has a name");
  const [name, inner] = part;
  return inner === undefined ? name : `${name}.${stateName(inner)}`;
}

// What people tap: mostly what comes next by what their own device shows, now and then something else.

import type { SeededRandom } from "../../machines/base/seeded-random.ts";
import type { Gate } from "../../machines/procedure/gates-of-step.ts";
import type { InjectId, PositionId } from "../../machines/procedure/ids.ts";
import type { ProcedureIndex } from "../../machines/procedure/procedure-index.ts";
import type { Step } from "../../machines/procedure/step.ts";
import type { Entry, EntryBody } from "../../machines/record/entry.ts";
import type { HoldId } from "../../machines/record/ids.ts";
import type { RunState } from "../../machines/record/run-state.ts";
import { happens, pick, pickWeighted } from "./chance.ts";
import type { Weighted } from "./chance.ts";
import type { SimulatedDevice } from "./simulated-device.ts";

/** What somebody wants to put into the record, and for whom. */
export type Wish = { readonly body: EntryBody; readonly position: PositionId | null };

/** What a person sees on the device, and what they do with it. */
export type Look = {
  readonly device: SimulatedDevice;
  readonly index: ProcedureIndex;
  readonly entries: readonly Entry[];
  readonly state: RunState;
  readonly random: SeededRandom;
};

/** What the person taps now. */
export function wishOf(look: Look): Wish {
  const { device, random } = look;
  const own = device.lane;
  const lane = own ?? pick(random, look.index.lanes);
  const wishes: Weighted<() => Wish>[] = [
    [4, () => note(look)],
    [3, () => withdrawal(look)],
    [0.3, () => plain({ kind: "run.real-stop-called", reason: "A diver surfaces." })],
    [1, () => anything(look)],
    [2, () => injectWish(look)],
  ];
  const next = (): Wish => nextInLane(look, lane);
  const confirm = (): Wish => readback(look, own);
  const hold = (): Wish => holdWish(look);
  if (device.role === "crew") wishes.push([45, next], [6, confirm], [8, hold]);
  if (device.role === "reader") wishes.push([25, next], [20, confirm], [10, hold]);
  if (device.role === "director") {
    wishes.push([12, next], [12, hold], [10, () => injectWish(look)], [40, () => phaseWish(look)]);
  }
  return pickWeighted(random, wishes)();
}

function plain(body: EntryBody, position: PositionId | null = null): Wish {
  return { body, position };
}

function note({ random, device }: Look): Wish {
  const text = `note ${random.nextBelow(1_000_000)}`;
  return plain({ kind: "note.added", text, step: null, oddity: happens(random, 0.1) }, device.lane);
}

function withdrawal(look: Look): Wish {
  const { device, entries, random } = look;
  const own = entries.filter((entry) => entry.device === device.id);
  const from = happens(random, 0.8) && own.length > 0 ? own : entries;
  if (from.length === 0) return note(look);
  const { device: author, seq } = pick(random, from);
  const withdrawn = { device: author, seq };
  return plain({ kind: "entry.withdrawn", withdrawn, reason: "Mis-tap." });
}

// What comes next in a lane, as the screen offers it; sometimes against what is in the way.
function nextInLane(look: Look, lane: PositionId): Wish {
  const { index, state, random } = look;
  const step = (index.stepsByLane.get(lane) ?? []).find(({ id }) => {
    const at = state.steps[id];
    return at !== undefined && at.inPlay && !isOver(at.state);
  });
  if (step === undefined) return note(look);
  const isWorking = state.steps[step.id]?.state === "working";
  const gate = closedGate(look, step, isWorking ? "done" : "start");
  const isPatient = happens(random, 0.85);
  if (gate !== undefined && isPatient) return plain(gateBody(step, gate, random), lane);
  if (!isWorking) {
    if (happens(random, 0.03)) {
      return plain({ kind: "step.deferred", step: step.id, reason: "Time." }, lane);
    }
    return plain({ kind: "step.started", step: step.id }, lane);
  }
  const branches = step.choice?.branches ?? [];
  if (branches.length > 0 && state.steps[step.id]?.branch === null && isPatient) {
    const { id: branch } = pick(random, branches);
    return plain({ kind: "branch.chosen", step: step.id, branch }, lane);
  }
  if (happens(random, 0.03)) {
    return plain({ kind: "step.partly-done", step: step.id, remains: "One bolt." }, lane);
  }
  return plain({ kind: "step.done", step: step.id }, lane);
}

function isOver(state: string): boolean {
  return ["done", "partly-done", "deferred", "not-performed"].includes(state);
}

function closedGate(look: Look, step: Step, before: Gate["before"]): Gate | undefined {
  const gates = look.state.steps[step.id]?.gates ?? {};
  return (look.index.gatesByStep.get(step.id) ?? []).find((gate) => {
    const at = gates[gate.id]?.state;
    const isOwnToOpen = gate.sort !== "go" && !(gate.sort === "warning" && at === "acknowledged");
    const isClosed = at !== "open" && at !== "overridden";
    return gate.before === before && isClosed && isOwnToOpen;
  });
}

function gateBody(step: Step, gate: Gate, random: SeededRandom): EntryBody {
  const name = { step: step.id, gate: gate.id };
  const isWrong = happens(random, 0.15);
  if (happens(random, 0.05)) return { kind: "gate.overridden", ...name, reason: "By word." };
  switch (gate.sort) {
    case "caution":
    case "warning":
      return { kind: "gate.acknowledged", ...name };
    case "go":
      return { kind: "gate.go-given", ...name };
    case "count":
      return { kind: "gate.count-reported", ...name, count: gate.target - (isWrong ? 1 : 0) };
    case "reading": {
      const value = (gate.min ?? gate.max ?? 0) - (isWrong ? 50 : 0);
      return { kind: "gate.reading-reported", ...name, value, unit: gate.unit };
    }
  }
}

// Confirms a read-back, or gives a GO, that some other lane waits for.
function readback(look: Look, own: PositionId | null): Wish {
  const { index, state, random } = look;
  const waiting: Wish[] = [];
  for (const step of index.procedure.steps) {
    for (const gate of index.gatesByStep.get(step.id) ?? []) {
      const at = state.steps[step.id]?.gates[gate.id]?.state;
      const name = { step: step.id, gate: gate.id };
      if (gate.sort === "warning" && at === "acknowledged") {
        waiting.push(plain({ kind: "gate.readback-confirmed", ...name }, own));
      }
      if (gate.sort === "go" && at === "closed") {
        waiting.push(plain({ kind: "gate.go-given", ...name }, gate.from));
      }
    }
  }
  return waiting.length === 0 ? note(look) : pick(random, waiting);
}

function holdWish(look: Look): Wish {
  const { state, device, index, random } = look;
  const standing = Object.entries(state.holds).filter(([, hold]) => hold.state !== "released");
  const reason = "Wait.";
  if (standing.length < 2 && happens(random, 0.4)) {
    const lane = device.lane ?? pick(random, index.lanes);
    const isLane = device.role === "crew" || happens(random, 0.5);
    const task = pick(random, index.procedure.tasks).id;
    const wide = happens(random, 0.5)
      ? ({ covers: "everyone" } as const)
      : ({ covers: "task", task } as const);
    const scope = isLane ? ({ covers: "lane", lane } as const) : wide;
    return plain({ kind: "hold.raised", scope, reason, inject: null }, device.lane);
  }
  if (standing.length === 0) return note(look);
  const hold = pick(random, standing)[0] as HoldId;
  if (device.role === "crew" && happens(random, 0.8)) {
    return plain({ kind: "hold.acknowledged", hold, lane: device.lane as PositionId }, device.lane);
  }
  return plain({ kind: "hold.released", hold });
}

function injectWish({ random }: Look): Wish {
  const inject = `inject-${random.nextBelow(3)}` as InjectId;
  const bodies: readonly EntryBody[] = [
    { kind: "inject.armed", inject, trigger: { byHand: true } },
    { kind: "inject.armed", inject, trigger: { atSeconds: 60 } },
    { kind: "inject.fired", inject, name: "Lost loop", card: "No voice.", shownTo: [] },
    { kind: "inject.graded", inject, grade: "met", remark: "Quick." },
    { kind: "inject.cleared", inject },
  ];
  return plain(pick(random, bodies));
}

function phaseWish(look: Look): Wish {
  const { state, random } = look;
  if (state.phase === "briefing") return plain({ kind: "run.started" });
  if (state.phase === "real-stop") return plain({ kind: "run.resumed", reason: "All well." });
  if (state.phase === "under-way" && happens(random, 0.04)) return plain({ kind: "run.closed" });
  return happens(random, 0.5)
    ? readback(look, null)
    : nextInLane(look, pick(random, look.index.lanes));
}

// Whatever the wire can carry, rights and sense or not: a mistake of a person, or of a device.
function anything(look: Look): Wish {
  const { index, random } = look;
  const step = pick(random, index.procedure.steps);
  const gates = index.gatesByStep.get(step.id) ?? [];
  const lane = pick(random, index.lanes);
  const reason = "By mistake.";
  const bodies: readonly EntryBody[] = [
    { kind: "step.started", step: step.id },
    { kind: "step.done", step: step.id },
    { kind: "step.done", step: step.id },
    { kind: "step.not-performed", step: step.id, reason },
    ...gates.map((gate) => gateBody(step, gate, random)),
    ...gates.map(
      ({ id }) => ({ kind: "gate.readback-confirmed", step: step.id, gate: id }) as const,
    ),
    { kind: "hold.raised", scope: { covers: "lane", lane }, reason, inject: null },
    { kind: "hold.raised", scope: { covers: "everyone" }, reason, inject: null },
    { kind: "run.terminated", reason },
    holdWish(look).body,
    injectWish(look).body,
  ];
  return plain(pick(random, bodies), happens(random, 0.5) ? lane : null);
}

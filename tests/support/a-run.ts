// A random run of a procedure by several devices that hear of each other now and then.
//
// Each lane is played by its own device: gates, starts, counts, dones, mostly in order; a reader
// confirms read-backs; a director holds, injects and lets in; and some taps are plainly wrong. All of
// it comes from the seed. Digests are chained unless it is told otherwise (for speed).

import type { SeededRandom } from "../../machines/base/seeded-random.ts";
import { createSeededRandom } from "../../machines/base/seeded-random.ts";
import { gatesOfStep } from "../../machines/procedure/gates-of-step.ts";
import type { Gate } from "../../machines/procedure/gates-of-step.ts";
import type { InjectId, PositionId } from "../../machines/procedure/ids.ts";
import type { Procedure } from "../../machines/procedure/procedure.ts";
import type { Step } from "../../machines/procedure/step.ts";
import type { Entry, EntryBody, EntryName } from "../../machines/record/entry.ts";
import { holdIdOf } from "../../machines/record/hold-id.ts";
import { aJoining, anEmptyRecord, opening } from "./a-record.ts";
import type { RecordInWriting } from "./a-record.ts";

/** How to play. */
export type RunOptions = {
  readonly procedure: Procedure;
  readonly seed: number;
  /** How many entries to write, at the least. */
  readonly taps: number;
  /** More devices for each lane than its own one; 0 unless given. */
  readonly spareDevicesPerLane?: number;
  /** How often a device hears another before it taps, 0 to 1; 0.3 unless given. */
  readonly hearing?: number;
  /** How many of the taps outside the plan are plainly wrong, 0 to 1; all unless given. */
  readonly strays?: number;
  /** Whether `prev` holds true digests; true unless given. */
  readonly isChained?: boolean;
};

/** Plays a run and gives its entries, in the order in which they were written. */
export function aRun(options: RunOptions): readonly Entry[] {
  const play = beginPlay(options);
  while (play.record.entries.length < options.taps) playOne(play);
  return play.record.entries;
}

type Play = {
  readonly options: RunOptions;
  readonly random: SeededRandom;
  readonly record: RecordInWriting;
  readonly players: readonly string[];
  readonly agendas: ReadonlyMap<string, EntryBody[]>;
  readonly holds: EntryName[];
};

function beginPlay(options: RunOptions): Play {
  const random = createSeededRandom(options.seed);
  const record = anEmptyRecord(options.isChained ?? true);
  record.addDevice("desk");
  record.tap("desk", opening);
  const players: string[] = ["desk"];
  const lanes = options.procedure.positions;
  for (const [number, lane] of lanes.entries()) {
    for (let spare = 0; spare <= (options.spareDevicesPerLane ?? 0); spare += 1) {
      const name = `tablet-${number}-${spare}`;
      const device = record.addDevice(name, lane.id, random.nextBelow(7_200_000) - 3_600_000);
      const role = lane.sort === "suited" ? "crew" : lane.sort === "inside" ? "reader" : "support";
      record.tap("desk", aJoining(device, role, name), { hears: "nobody" });
      players.push(name);
    }
  }
  record.addDevice("stranger");
  record.tap("desk", { kind: "run.started" });
  // Most devices have the letter that let them in before they write; a few write first.
  for (const name of players) if (random.nextFraction() < 0.9) record.hear(name, "desk");
  const agendas = new Map(players.map((name) => [name, agendaOf(options.procedure, record, name)]));
  return { options, random, record, players: [...players, "stranger"], agendas, holds: [] };
}

// What a lane's device has to enter, in order, if all goes well.
function agendaOf(procedure: Procedure, record: RecordInWriting, name: string): EntryBody[] {
  const lane = record.devices.get(name)?.lane ?? null;
  const bodies: EntryBody[] = [];
  for (const step of procedure.steps) {
    for (const gate of gatesOfStep(step)) {
      if (gate.sort === "go" && gate.from === lane) bodies.push(gateBody(step, gate));
    }
    if (step.lane === lane) bodies.push(...stepBodies(step));
  }
  return bodies;
}

function stepBodies(step: Step): EntryBody[] {
  const gates = gatesOfStep(step).filter(({ sort }) => sort !== "go");
  const before = gates.filter((gate) => gate.before === "start");
  const after = gates.filter((gate) => gate.before === "done");
  const [branch] = step.choice?.branches ?? [];
  return [
    ...before.map((gate) => gateBody(step, gate)),
    { kind: "step.started", step: step.id },
    ...after.map((gate) => gateBody(step, gate)),
    ...(branch === undefined
      ? []
      : [{ kind: "branch.chosen", step: step.id, branch: branch.id } as const]),
    { kind: "step.done", step: step.id },
  ];
}

function gateBody(step: Step, gate: Gate): EntryBody {
  const name = { step: step.id, gate: gate.id };
  switch (gate.sort) {
    case "caution":
    case "warning":
      return { kind: "gate.acknowledged", ...name };
    case "go":
      return { kind: "gate.go-given", ...name };
    case "count":
      return { kind: "gate.count-reported", ...name, count: gate.target };
    case "reading": {
      const value = gate.min ?? gate.max ?? 0;
      return { kind: "gate.reading-reported", ...name, value, unit: gate.unit };
    }
  }
}

function playOne(play: Play): void {
  const { random, record, players } = play;
  const name = pick(random, players);
  if (random.nextFraction() < (play.options.hearing ?? 0.3)) {
    record.hear(name, pick(random, players));
  }
  const agenda = play.agendas.get(name) ?? [];
  const isByPlan = agenda.length > 0 && random.nextFraction() < 0.7;
  const isStray = random.nextFraction() < (play.options.strays ?? 1);
  const otherBody = isStray ? strayBody : remarkBody;
  const body = isByPlan ? (agenda.shift() as EntryBody) : otherBody(play, name);
  const written = record.tap(name, body, {
    afterMs: random.nextBelow(20_000),
    hears: "nobody",
    ...(random.nextFraction() < 0.1 ? { position: pick(random, lanesOf(play)) } : {}),
  });
  if (body.kind === "hold.raised") play.holds.push(written);
  if (body.kind === "hold.released" && name === "desk") {
    const place = play.holds.findIndex((hold) => holdIdOf(hold) === body.hold);
    if (place !== -1) play.holds.splice(place, 1);
  }
}

function lanesOf({ options }: Play): PositionId[] {
  return options.procedure.positions.map(({ id }) => id);
}

// Something that is always in order.
function remarkBody({ random, record, options }: Play, name: string): EntryBody {
  const step = pick(random, options.procedure.steps).id;
  const offsetMs = -(record.devices.get(name)?.skewMs ?? 0);
  return random.nextFraction() < 0.5
    ? { kind: "note.added", text: `note ${random.nextBelow(1000)}`, step, oddity: false }
    : { kind: "clock.sampled", offsetMs, roundTripMs: 40 };
}

// Something that is in nobody's plan, often against rights or order.
function strayBody(play: Play, name: string): EntryBody {
  const { random, options } = play;
  const step = pick(random, options.procedure.steps);
  const lane = pick(random, lanesOf(play));
  const reason = "random";
  const gates = gatesOfStep(step);
  const gate = gates.length > 0 ? pick(random, gates) : undefined;
  const bodies: EntryBody[] = [
    remarkBody(play, name),
    { kind: "step.started", step: step.id },
    { kind: "step.done", step: step.id },
    { kind: "step.deferred", step: step.id, reason },
    { kind: "step.partly-done", step: step.id, remains: reason },
    ...(gate === undefined ? [] : gateBodies(step, gate, random)),
    ...holdBodies(play, name, lane),
    ...injectBodies(random),
    ...(random.nextFraction() < 0.1 ? runBodies(reason) : []),
    withdrawal(play, name),
  ];
  return pick(random, bodies);
}

function gateBodies(step: Step, gate: Gate, random: SeededRandom): EntryBody[] {
  const name = { step: step.id, gate: gate.id };
  const count = random.nextBelow(6);
  return [
    gateBody(step, gate),
    { kind: "gate.readback-confirmed", ...name },
    { kind: "gate.count-reported", ...name, count },
    { kind: "gate.overridden", ...name, reason: "random" },
  ];
}

// As people do, they release before they raise many more.
function holdBodies({ random, holds }: Play, name: string, lane: PositionId): EntryBody[] {
  const reason = "random";
  const raised: EntryBody[] = [
    { kind: "hold.raised", scope: { covers: "lane", lane }, reason, inject: null },
    { kind: "hold.raised", scope: { covers: "everyone" }, reason, inject: null },
  ];
  const [oldest] = holds;
  if (oldest === undefined) return raised;
  const hold = holdIdOf(random.nextFraction() < 0.5 ? oldest : pick(random, holds));
  if (holds.length >= 4 && name === "desk") return [{ kind: "hold.released", hold }];
  return [
    ...(holds.length < 4 ? raised : []),
    { kind: "hold.acknowledged", hold, lane },
    { kind: "hold.released", hold },
  ];
}

function injectBodies(random: SeededRandom): EntryBody[] {
  const inject = `inject-${random.nextBelow(3)}` as InjectId;
  return [
    { kind: "inject.armed", inject, trigger: { byHand: true } },
    { kind: "inject.fired", inject, name: "Lost loop", card: "No voice.", shownTo: [] },
    { kind: "inject.responded", inject, text: "hand signals" },
    { kind: "inject.graded", inject, grade: "met", remark: "" },
    { kind: "inject.cleared", inject },
  ];
}

function runBodies(reason: string): EntryBody[] {
  return [
    { kind: "run.real-stop-called", reason },
    { kind: "run.real-stop-acknowledged" },
    { kind: "run.resumed", reason },
    { kind: "run.terminated", reason },
    { kind: "run.aborted", reason },
    { kind: "run.closing-started" },
    { kind: "run.closed" },
    { kind: "run.started" },
  ];
}

function withdrawal({ random, record }: Play, name: string): EntryBody {
  const own = record.devices.get(name)?.entries ?? [];
  const { device, seq } = pick(random, own.length > 0 ? own : record.entries);
  return { kind: "entry.withdrawn", withdrawn: { device, seq }, reason: "random" };
}

function pick<Value>(random: SeededRandom, values: readonly Value[]): Value {
  return values[random.nextBelow(values.length)] as Value;
}

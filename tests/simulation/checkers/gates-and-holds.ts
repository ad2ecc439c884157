// No closed gate and no hold is passed without a variance that says so; and none is said to be where
// nothing was in the way. Computed anew for every entry from all entries before it: slow and plain.

import type { Gate } from "../../../machines/procedure/gates-of-step.ts";
import type { Step } from "../../../machines/procedure/step.ts";
import type { Entry, EntryName } from "../../../machines/record/entry.ts";
import { foldRun } from "../../../machines/record/fold-run.ts";
import { orderEntries } from "../../../machines/record/order-entries.ts";
import type { Variance } from "../../../machines/record/run-state.ts";
import type { Leftovers } from "./leftovers.ts";
import { authorOf, isWithinRights } from "./reference-rights.ts";

/** Passages without their variance, and variances without a passage. */
export function checkGatesAndHolds(left: Leftovers): readonly string[] {
  const { ordered } = orderEntries(left.devices[0]?.entries ?? []);
  const { variances } = foldRun(left.index, ordered);
  const allowed = ordered.map(({ entry }) => entry).filter((one) => isWithinRights(left, one));
  return allowed.flatMap((entry, place) => {
    const { body } = entry;
    if (body.kind !== "step.started" && body.kind !== "step.done") return [];
    const step = left.index.stepsById.get(body.step);
    if (step === undefined) return [];
    const before = allowed.slice(0, place);
    const wanted = passedBy(left, entry, step, before);
    const noted = notedFor(variances, entry);
    if (wanted === noted) return [];
    const says = `${entry.device}:${entry.seq} ${body.kind} ${step.id}`;
    return [`each passage has its variance: ${says} passed [${wanted}], noted [${noted}]`];
  });
}

function notedFor(variances: readonly Variance[], entry: Entry): string {
  const passed: string[] = [];
  for (const { by, cause, blocks } of variances) {
    if (by.device !== entry.device || by.seq !== entry.seq) continue;
    for (const block of blocks) {
      if (block.on === "gate") passed.push(`${cause} ${block.gate}`);
      if (block.on === "hold") passed.push(`${cause} ${block.hold}`);
    }
  }
  return passed.sort().join(", ");
}

// Everything closed or held that the entry went past.
function passedBy(left: Leftovers, entry: Entry, step: Step, before: readonly Entry[]): string {
  const status = statusOf(step, before);
  const isStart = entry.body.kind === "step.started";
  // Said again: nothing is passed that was not passed before.
  if (status === "done" || (isStart && status === "working")) return "";
  const passed: string[] = [];
  for (const gate of left.index.gatesByStep.get(step.id) ?? []) {
    const counts = gate.before === "start" ? status !== "working" : !isStart;
    if (counts && !isOpen(left, step, gate, before)) passed.push(`gate-closed ${gate.id}`);
  }
  for (const hold of standingHolds(step, before)) {
    const isSeen = hasSeen(left, entry, hold);
    passed.push(`${isSeen ? "hold-seen" : "hold-not-seen"} ${hold.device}:${hold.seq}`);
  }
  return passed.sort().join(", ");
}

function statusOf(step: Step, before: readonly Entry[]): "idle" | "working" | "done" {
  let status: "idle" | "working" | "done" = "idle";
  for (const { body } of standing(before)) {
    if (!body.kind.startsWith("step.") || !("step" in body) || body.step !== step.id) continue;
    if (status === "done") continue;
    if (body.kind === "step.started") status = "working";
    else status = body.kind === "step.done" ? "done" : "idle";
  }
  return status;
}

function isOpen(left: Leftovers, step: Step, gate: Gate, before: readonly Entry[]): boolean {
  let state: "closed" | "acknowledged" | "open" | "overridden" = "closed";
  let acknowledgedAs: string | null = null;
  const confirmedAs: string[] = [];
  for (const act of gateActs(left, step, gate, before)) {
    const { body } = act;
    if (body.kind === "gate.acknowledged" && state === "closed") {
      acknowledgedAs = actingAs(left, act);
      const isConfirmed = confirmedAs.some((other) => other !== acknowledgedAs);
      state = gate.sort === "caution" || isConfirmed ? "open" : "acknowledged";
    } else if (body.kind === "gate.readback-confirmed") {
      confirmedAs.push(actingAs(left, act));
      if (state === "acknowledged" && actingAs(left, act) !== acknowledgedAs) state = "open";
    } else if (body.kind === "gate.overridden" && state !== "open") {
      state = "overridden";
    } else if (body.kind === "gate.go-given") {
      state = "open";
    } else {
      const isMet = meets(gate, act);
      if (isMet === true) state = "open";
      if (isMet === false && state === "open") state = "closed";
    }
  }
  return state === "open" || state === "overridden";
}

// Acts about the gate that belong to its sort, without a confirmation by whom the acknowledgement
// before it was made for.
function gateActs(
  left: Leftovers,
  step: Step,
  gate: Gate,
  before: readonly Entry[],
): readonly Entry[] {
  const kinds: Record<Gate["sort"], readonly string[]> = {
    caution: ["gate.acknowledged"],
    warning: ["gate.acknowledged", "gate.readback-confirmed"],
    count: ["gate.count-reported"],
    reading: ["gate.reading-reported"],
    go: ["gate.go-given"],
  };
  const isAbout = ({ body }: Entry) =>
    "gate" in body &&
    body.step === step.id &&
    body.gate === gate.id &&
    [...kinds[gate.sort], "gate.overridden"].includes(body.kind);
  const isHeard = (act: Entry) => {
    if (act.body.kind !== "gate.readback-confirmed") return true;
    const earlier = before.slice(0, before.indexOf(act));
    return acknowledgerOf(left, gateActs(left, step, gate, earlier)) !== actingAs(left, act);
  };
  return standing(before).filter((act) => isAbout(act) && isHeard(act));
}

function acknowledgerOf(left: Leftovers, acts: readonly Entry[]): string | null {
  // An acknowledgement after an override is not needed any more, and does not count.
  const first = acts.find(({ body }) => /acknowledged|overridden/.test(body.kind));
  return first?.body.kind === "gate.acknowledged" ? actingAs(left, first) : null;
}

// For whom it was made: the position, else the lane of the device, else the device itself.
function actingAs(left: Leftovers, entry: Entry): string {
  return entry.position ?? authorOf(left, entry).lane ?? entry.device;
}

function meets(gate: Gate, { body }: Entry): boolean | null {
  if (gate.sort === "count" && body.kind === "gate.count-reported") {
    return body.count >= gate.target;
  }
  if (gate.sort === "reading" && body.kind === "gate.reading-reported") {
    if (body.unit !== gate.unit) throw new Error("A simulation reports in the gate's own unit.");
    return (gate.min === null || body.value >= gate.min) && body.value <= (gate.max ?? Infinity);
  }
  return null;
}

// Names of the entries that raised a hold which covers the step and stands.
function standingHolds(step: Step, before: readonly Entry[]): readonly EntryName[] {
  const still = new Set(standing(before));
  return before
    .filter((entry) => entry.body.kind === "hold.raised" && still.has(entry))
    .filter(({ body }) => {
      if (body.kind !== "hold.raised") return false;
      if (body.scope.covers === "lane") return body.scope.lane === step.lane;
      return body.scope.covers === "everyone" || body.scope.task === step.task;
    })
    .filter((raised) => {
      const name = `${raised.device}:${raised.seq}`;
      return ![...still].some(({ body }) => body.kind === "hold.released" && body.hold === name);
    });
}

// By anything that the device had written, within its rights or not.
function hasSeen({ devices }: Leftovers, entry: Entry, hold: EntryName): boolean {
  if (hold.device === entry.device) return true;
  return (devices[0]?.entries ?? []).some(({ device, seq, seen }) => {
    return device === entry.device && seq <= entry.seq && (seen[hold.device] ?? 0) >= hold.seq;
  });
}

// What nobody took back so far.
function standing(before: readonly Entry[]): readonly Entry[] {
  const withdrawn = new Set<string>();
  for (const [place, { body }] of before.entries()) {
    if (body.kind !== "entry.withdrawn") continue;
    const { device, seq } = body.withdrawn;
    const target = before.slice(0, place).find((one) => one.device === device && one.seq === seq);
    if (target !== undefined) withdrawn.add(`${device}:${seq}`);
  }
  return before.filter(({ device, seq }) => !withdrawn.has(`${device}:${seq}`));
}

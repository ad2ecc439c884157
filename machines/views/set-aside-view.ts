// What was set aside, in words: by this device, by the hub, and by the rules of the record.
//
// Definition: what is *set aside* is kept as it came and changes nothing in the run.
// [set-aside 1] Everything that was set aside is in a line: nothing is left out, nothing is counted twice.
// [set-aside 2] A line says who is named, which entries, who set them aside, why, and what to do.
// [set-aside 3] Neighbours of one device, one origin and one reason are one line.
// [set-aside 4] A line keeps its key while nothing is added to it, so that it can be known as seen.
// [set-aside 5] What only waits for entries before it is told apart from what was refused.

import { assert } from "../base/assert.ts";
import type { ProcedureIndex } from "../procedure/procedure-index.ts";
import type { Entry, EntryName } from "../record/entry.ts";
import type { DeviceId } from "../record/ids.ts";
import type { DeviceInRun, LogLine, RunState } from "../record/run-state.ts";
import type { SetAsideReport } from "../sync/pull.ts";
import { deviceName } from "./entry-words.ts";
import { entryKindWords, positionName, roleWords, stepName } from "./words.ts";

/** An entry that this device has set aside. */
export type HeldAside = {
  readonly device: DeviceId;
  readonly seq: number;
  readonly digest: string;
  readonly reason: HeldAsideReason;
  readonly entry: Entry;
};

/** Why this device set it aside; see `SetAsideReason` of the store. */
export type HeldAsideReason = "gap" | "fork" | "chain" | "signature" | "written-again";

/** Everything that was set aside in a run, as far as this device knows. */
export type SetAsideGround = {
  readonly index: ProcedureIndex;
  readonly state: RunState;
  readonly here: readonly HeldAside[];
  readonly atHub: readonly SetAsideReport[];
};

/** Some neighbouring entries that were set aside for one reason. */
export type SetAsideLine = {
  readonly key: string;
  readonly by: SetAsideBy;
  readonly device: DeviceId;
  /** The device that the entries name as their author. */
  readonly who: string;
  /** "entry 12", "entries 12 to 15". */
  readonly which: string;
  /** What they say, one phrase a kind; empty where that is not known here. */
  readonly what: readonly string[];
  readonly why: string;
  readonly mend: string;
  /** Hub's clock, milliseconds since 1970; null: not known. */
  readonly atMs: number | null;
  /** True: it comes into the record by itself as soon as what is missing comes. */
  readonly isWaiting: boolean;
};

/** Who set it aside: this device's store, the hub, or the rules by which the record is read. */
export type SetAsideBy = "this-device" | "hub" | "record";

/** What was set aside: what needs a person first, what only waits last; within, by device and seq. */
export function setAsideLines(ground: SetAsideGround): readonly SetAsideLine[] {
  const items = [...itemsHere(ground), ...itemsAtHub(ground), ...itemsInRecord(ground)];
  const lines = inGroups(items.toSorted(compareItems)).map((group) => lineOf(ground, group));
  return lines.toSorted((a, b) => Number(a.isWaiting) - Number(b.isWaiting));
}

/** Who set something aside, in words. */
export const setAsideByWords: Readonly<Record<SetAsideBy, string>> = {
  "this-device": "by this device",
  hub: "by the hub",
  record: "by the rules of the record",
};

// One entry, or one stretch that the hub reports.
type Item = {
  readonly by: SetAsideBy;
  readonly device: DeviceId;
  readonly fromSeq: number;
  readonly toSeq: number;
  readonly reason: string;
  readonly words: Words;
  readonly what: string | null;
  readonly atMs: number | null;
  /** Tells two entries of one name apart. */
  readonly mark: string;
};

type Words = { readonly why: string; readonly mend: string };

function itemsHere({ index, here }: SetAsideGround): readonly Item[] {
  return here.map(({ device, seq, digest, reason, entry }) => ({
    by: "this-device",
    device,
    fromSeq: seq,
    toSeq: seq,
    reason,
    words: reasonWords[reason],
    what: kindAndStep(index, entry.body.kind, stepOf(entry)),
    atMs: null,
    mark: digest,
  }));
}

function itemsAtHub({ atHub }: SetAsideGround): readonly Item[] {
  return atHub.map(({ device, fromSeq, toSeq, code, receivedMs }) => ({
    by: "hub",
    device,
    fromSeq,
    toSeq,
    reason: code,
    words: reasonWords[code],
    what: null,
    atMs: receivedMs,
    mark: String(receivedMs),
  }));
}

function itemsInRecord({ index, state }: SetAsideGround): readonly Item[] {
  const ownReadbacks = new Set(
    state.variances
      .filter(({ cause, blocks }) => cause === "beyond-rights" && blocks.length > 0)
      .map(({ by }) => entryText(by)),
  );
  return state.log
    .filter((line) => line.outcome === "set-aside")
    .map((line) => {
      const { reason, words } = ownReadbacks.has(entryText(line.by))
        ? { reason: "own-readback", words: ownReadback }
        : rightsWords(index, state, line);
      const { device, seq } = line.by;
      const what = kindAndStep(index, line.kind, line.step);
      const named = { by: "record", device, fromSeq: seq, toSeq: seq } as const;
      return { ...named, reason, words, what, atMs: line.atMs, mark: "" };
    });
}

const reasonWords: Readonly<Record<HeldAsideReason, Words>> = {
  gap: {
    why: "Entries before these have not come yet.",
    mend:
      "Nothing, while that tablet can reach the hub: they come by themselves. " +
      "Else bring its entries from it.",
  },
  fork: {
    why:
      "Another entry has the same number: the tablet was put back to an older copy, " +
      "or somebody copied it.",
    mend:
      "Ask its person what they entered, and enter what is missing again. " +
      "If nobody can explain it, strike the tablet off.",
  },
  chain: {
    why: "They follow on another entry than the one that is held before them.",
    mend:
      "Ask its person what they entered, and enter what is missing again. " +
      "If nobody can explain it, strike the tablet off.",
  },
  signature: {
    why: "They do not bear that tablet’s signature: they were damaged, or forged in its name.",
    mend:
      "Do not strike that tablet off for this alone; it may know nothing of it. " +
      "Save the file and show it to whoever runs the network.",
  },
  "written-again": {
    why: "This tablet was put back to an older copy, and the hub had other entries by these numbers.",
    mend: "Nothing: they were written again under new numbers, and so are in the record.",
  },
};

function rightsWords(
  index: ProcedureIndex,
  state: RunState,
  line: LogLine,
): { readonly reason: string; readonly words: Words } {
  const inRun = state.devices[line.by.device];
  if (inRun === undefined) return { reason: "not-let-in", words: notLetIn };
  if (inRun.struckOffAtMs !== null && line.atMs >= inRun.struckOffAtMs) {
    return { reason: "struck-off", words: struckOff };
  }
  return {
    reason: `beyond-role ${inRun.role} ${inRun.lane ?? ""}`,
    words: {
      why: `${whoMayNot(index, inRun)} may not enter this.`,
      mend: "If it is right, let a director or that lane’s own device enter it.",
    },
  };
}

const notLetIn: Words = {
  why: "No director has let this device into the run.",
  mend: "If it belongs to the run, let it in; what it entered then counts. Else leave it.",
};

const struckOff: Words = {
  why: "They were entered after the device had been struck off.",
  mend: "If they matter, let a director enter them again.",
};

const ownReadback: Words = {
  why: "A readback is confirmed by somebody else than who gave it.",
  mend: "Let another position confirm it.",
};

function entryText({ device, seq }: EntryName): string {
  return `${device}:${seq}`;
}

function whoMayNot(index: ProcedureIndex, { role, lane }: DeviceInRun): string {
  const of = lane === null ? "" : ` of ${positionName(index, lane)}`;
  return `The role ${roleWords[role].toLowerCase()}${of}`;
}

function kindAndStep(index: ProcedureIndex, kind: LogLine["kind"], step: LogLine["step"]): string {
  const words = entryKindWords[kind];
  return step === null ? words : `${words}: ${stepName(index, step)}`;
}

function stepOf({ body }: Entry): LogLine["step"] {
  return "step" in body ? body.step : null;
}

function compareItems(a: Item, b: Item): number {
  return (
    compareTexts(a.device, b.device) ||
    compareTexts(a.by, b.by) ||
    compareTexts(a.reason, b.reason) ||
    a.fromSeq - b.fromSeq ||
    compareTexts(a.mark, b.mark)
  );
}

function compareTexts(a: string, b: string): number {
  return a === b ? 0 : a < b ? -1 : 1;
}

function inGroups(sorted: readonly Item[]): readonly (readonly Item[])[] {
  const groups: Item[][] = [];
  for (const item of sorted) {
    const group = groups.at(-1);
    if (group !== undefined && isNeighbour(group, item)) group.push(item);
    else groups.push([item]);
  }
  return groups;
}

function isNeighbour(group: readonly Item[], item: Item): boolean {
  const last = group.at(-1);
  return (
    last !== undefined &&
    last.device === item.device &&
    last.by === item.by &&
    last.reason === item.reason &&
    item.fromSeq <= last.toSeq + 1
  );
}

function lineOf({ state }: SetAsideGround, group: readonly Item[]): SetAsideLine {
  const [first] = group;
  assert(first !== undefined, "a group has an item");
  const toSeq = Math.max(...group.map((item) => item.toSeq));
  const { by, device, fromSeq, reason, words } = first;
  return {
    key: [by, device, reason, fromSeq, toSeq, group.length].join(" "),
    by,
    device,
    who: deviceName(state, device),
    which: fromSeq === toSeq ? `entry ${fromSeq}` : `entries ${fromSeq} to ${toSeq}`,
    what: [...new Set(group.flatMap((item) => (item.what === null ? [] : [item.what])))],
    why: words.why,
    mend: words.mend,
    atMs: first.atMs,
    isWaiting: reason === "gap",
  };
}

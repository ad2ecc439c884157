// The record that the benches of merging, size and memory share: 20 devices, 2,500 entries each.
//
// A random run of the long demo (`a-run.ts`) by a director and 19 tablets, under true device ids, its
// chains linked by true digests and signed by each device's own key.

import { readFileSync } from "node:fs";
import { canonicalJson } from "../../machines/base/canonical-json.ts";
import { groupBy } from "../../machines/base/group-by.ts";
import type { Procedure } from "../../machines/procedure/procedure.ts";
import { entryDigest, entryText } from "../../machines/record/digest-entry.ts";
import type { Entry } from "../../machines/record/entry.ts";
import type { DeviceId, RunId } from "../../machines/record/ids.ts";
import { createSegment } from "../../machines/sync/segment.ts";
import type { Segment } from "../../machines/sync/segment.ts";
import { createDeviceKey } from "../../workers/keys/device-key.ts";
import type { DeviceKey } from "../../workers/keys/device-key.ts";
import { createRunId } from "../../workers/keys/random-id.ts";
import { sha256Hex } from "../../workers/keys/sha-256.ts";
import { signHead } from "../../workers/keys/sign-head.ts";
import { aRun } from "../support/a-run.ts";

/** How many devices write. */
export const deviceCount = 20;
/** How many entries each of them writes. */
export const entriesPerDevice = 2_500;

/** One device's key and its entries by rising seq. */
export type WorkloadChain = { readonly key: DeviceKey; readonly entries: readonly Entry[] };

/** The record, by device. */
export type Workload = {
  readonly procedure: Procedure;
  readonly run: RunId;
  readonly chains: readonly WorkloadChain[];
};

/** The long demo's procedure. */
export function readDemo(): Procedure {
  const text = readFileSync("workers/hub/demo/petrel-deck.procedure.json", "utf8");
  return JSON.parse(text) as Procedure;
}

/** Makes the record: the same bodies, times and sights every time, under new keys. */
export async function makeWorkload(): Promise<Workload> {
  const procedure = readDemo();
  const taps = deviceCount * entriesPerDevice * 1.2;
  const options = { procedure, seed: 2026, taps, isChained: false, strays: 0.05 };
  const played = groupBy(aRun({ ...options, spareDevicesPerLane: 3 }), (one) => one.device);
  const names = [...played.keys()].filter((name) => name !== "stranger").slice(0, deviceCount);
  const keys = new Map<string, DeviceKey>();
  for (const name of names) keys.set(name, await createDeviceKey());
  const desk = keys.get("desk") as DeviceKey;
  const run = createRunId(desk.device);
  const chains = [...keys].map(([name, key]) => ({
    key,
    entries: chain((played.get(name as DeviceId) ?? []).map((entry) => renamed(entry, run, keys))),
  }));
  return { procedure, run, chains };
}

/** The chains as segments of at most so many entries, those of one device by rising seq. */
export async function segmentsOf(
  { run, chains }: Workload,
  entriesMax: number,
): Promise<readonly Segment[]> {
  const segments: Segment[] = [];
  for (const { key, entries } of chains) {
    for (let from = 0; from < entries.length; from += entriesMax) {
      const part = entries.slice(from, from + entriesMax);
      const last = part.at(-1) as Entry;
      const digest = entryDigest(last, sha256Hex);
      segments.push(createSegment(part, await signHead(key, { run, seq: last.seq, digest })));
    }
  }
  return segments;
}

/** Segments by so many, as the JSON of each pull's list. */
export function pagesOf(segments: readonly Segment[], perPage: number): readonly string[] {
  const pages: string[] = [];
  for (let from = 0; from < segments.length; from += perPage) {
    pages.push(JSON.stringify(segments.slice(from, from + perPage)));
  }
  return pages;
}

/** The entries' canonical texts, one a line. */
export function linesOf({ chains }: Workload): string {
  return chains.flatMap(({ entries }) => entries.map(entryText)).join("\n");
}

// The entry under the ids that its device's and others' keys have; devices that are left out of the
// record are left out of what was seen.
function renamed(entry: Entry, run: RunId, keys: ReadonlyMap<string, DeviceKey>): Entry {
  const seen = Object.entries(entry.seen)
    .filter(([name, seq]) => keys.has(name) && seq <= entriesPerDevice)
    .map(([name, seq]) => [name, seq] as const);
  const text = canonicalJson({ ...entry, run, seen: Object.fromEntries(seen) });
  const idOf = (name: string): string => keys.get(name)?.device ?? name;
  return JSON.parse(
    text.replaceAll(/"(desk|tablet-\d-\d)([":])/g, (_, name: string, end: string) => {
      return `"${idOf(name)}${end}`;
    }),
  ) as Entry;
}

function chain(entries: readonly Entry[]): readonly Entry[] {
  if (entries.length < entriesPerDevice) throw new Error("The run is too short for the bench.");
  let prev: string | null = null;
  return entries.slice(0, entriesPerDevice).map((entry) => {
    const linked: Entry = { ...entry, prev };
    prev = entryDigest(linked, sha256Hex);
    // As it is after a journey: members in the order of the canonical form.
    return JSON.parse(entryText(linked)) as Entry;
  });
}

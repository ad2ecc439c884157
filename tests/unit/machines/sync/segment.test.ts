// Segments: what was packed comes back, and what was changed on the way is found out.

import * as fc from "fast-check";
import { expect, test } from "vitest";
import { canonicalJson } from "../../../../machines/base/canonical-json.ts";
import { entryDigest } from "../../../../machines/record/digest-entry.ts";
import type { Entry } from "../../../../machines/record/entry.ts";
import type { PublicKeyText } from "../../../../machines/record/ids.ts";
import { packEntries, unpackEntries } from "../../../../machines/sync/pack-entries.ts";
import { createSegment, readSegment } from "../../../../machines/sync/segment.ts";
import type { Segment } from "../../../../machines/sync/segment.ts";
import { sha256Hex } from "../../../../workers/keys/sha-256.ts";
import { aFullProcedure } from "../../../support/a-full-procedure.ts";
import { aRun } from "../../../support/a-run.ts";

const digestOf = (entry: Entry): string => entryDigest(entry, sha256Hex);

// Entries of one device of a played run, in a stretch somewhere in its chain.
function stretch(seed: number, from: number, count: number): readonly Entry[] {
  const all = aRun({ procedure: aFullProcedure(), seed, taps: 120 });
  const devices = [...new Set(all.map(({ device }) => device))];
  const chains = devices
    .map((device) => all.filter((entry) => entry.device === device))
    .filter(({ length }) => length > 1);
  const chain = chains[seed % chains.length] as readonly Entry[];
  const start = from % chain.length;
  return chain.slice(start, start + 1 + (count % (chain.length - start)));
}

function segmentOf(entries: readonly Entry[]): Segment {
  const last = entries.at(-1) as Entry;
  const { run, device, seq } = last;
  const key = "B".repeat(87) as PublicKeyText;
  const signature = "A".repeat(86);
  return createSegment(entries, { run, device, seq, digest: digestOf(last), key, signature });
}

const stretches = fc
  .tuple(fc.nat(30), fc.nat(), fc.nat())
  .map(([seed, from, count]) => stretch(seed, from, count));

test("[pack 1] [segment 3] what was packed comes back with its chain, through JSON as well", () => {
  fc.assert(
    fc.property(stretches, (entries) => {
      const wire: unknown = JSON.parse(canonicalJson(segmentOf(entries)));
      const { segment, faults } = readSegment(wire, "", sha256Hex);
      expect(faults).toEqual([]);
      expect(segment?.entries).toEqual(JSON.parse(JSON.stringify(entries)));
      expect(segment?.digests).toEqual(entries.map(digestOf));
      // Only the first entry's `prev` travels; the others are found again.
      const others = entries.slice(1).map(({ prev }) => prev as string);
      for (const prev of others) expect(JSON.stringify(wire)).not.toContain(prev);
    }),
    { numRuns: 60 },
  );
});

test("[pack 1] members come back in the order of canonical JSON", () => {
  const entries = stretch(3, 0, 40);
  const read = readSegment(segmentOf(entries), "", sha256Hex).segment;
  for (const entry of read?.entries ?? []) expect(JSON.stringify(entry)).toBe(canonicalJson(entry));
});

test("[segment 1] any change of any value on the way is found out", () => {
  const right = JSON.parse(canonicalJson(segmentOf(stretch(5, 0, 30)))) as Segment;
  const places = valuesOf(right).filter((place) => place[0] !== "head" || place[1] === "digest");
  fc.assert(
    fc.property(fc.constantFrom(...places), fc.nat(4), (place, how) => {
      const changed = changeAt(right, place, how);
      if (changed === null) return;
      const { segment, faults } = readSegment(changed, "/segments/0", sha256Hex);
      expect(segment).toBeNull();
      expect(faults[0]?.path).toMatch(/^\/segments\/0\//);
    }),
    { numRuns: 400 },
  );
});

test("[pack 2] columns that do not belong together are reported, and nothing is unpacked", () => {
  const entries = stretch(4, 0, 12);
  const packed = packEntries(entries);
  const { run, device } = entries[0] as Entry;
  const place = { run, device, fromSeq: 1, prev: null };
  const wrong = [
    { wallMs: [] },
    { bodies: packed.bodies.map(() => [999]) },
    { position: packed.position.map(() => 99) },
    { seen: [[0, 99, 1]] },
    { seen: [[999, 0, 1]] },
    { shapes: packed.shapes.map(() => ["no.kind"]) },
    // Found by a mutated bundle: the member changed what the body is, and its digest could not be made.
    { shapes: [...packed.shapes, ["note.added", "__proto__", "oddity", "step", "text"]] },
  ];
  for (const change of wrong) {
    const unpacked = unpackEntries({ ...packed, ...change }, place, digestOf);
    expect(unpacked.entries).toEqual([]);
    expect(unpacked.faults.length, JSON.stringify(change)).toBeGreaterThan(0);
  }
});

test("[segment 1] a segment that is empty, or begins before the beginning, is none", () => {
  const right = segmentOf(stretch(2, 0, 5));
  const empty = { ...packEntries([]) };
  expect(readSegment({ ...right, entries: empty }, "", sha256Hex).segment).toBeNull();
  const before = { ...right, head: { ...right.head, seq: 1 } };
  expect(readSegment(before, "", sha256Hex).segment).toBeNull();
  for (const value of [null, 7, "text", [], {}]) {
    expect(readSegment(value, "", sha256Hex).faults.length).toBeGreaterThan(0);
  }
});

type Place = readonly (string | number)[];

function valuesOf(value: unknown, place: Place = []): Place[] {
  if (typeof value !== "object" || value === null) return [place];
  return Object.entries(value).flatMap(([name, member]) => valuesOf(member, [...place, name]));
}

// Null: that change is none.
function changeAt(value: unknown, place: Place, how: number): unknown {
  const copy: unknown = structuredClone(value);
  let within = copy as Record<string, unknown>;
  for (const name of place.slice(0, -1)) within = within[name] as Record<string, unknown>;
  const last = String(place.at(-1));
  const before = within[last];
  const others = [before === 1 ? 2 : 1, "other", null, -3, true];
  const after = others[how];
  if (after === before) return null;
  within[last] = after;
  return copy;
}

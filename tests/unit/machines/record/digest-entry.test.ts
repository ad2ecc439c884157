// The text of an entry, which its digest is taken of.

import * as fc from "fast-check";
import { expect, test } from "vitest";
import { createSeededRandom } from "../../../../machines/base/seeded-random.ts";
import type { SeededRandom } from "../../../../machines/base/seeded-random.ts";
import { entryDigest, entryText } from "../../../../machines/record/digest-entry.ts";
import type { Entry } from "../../../../machines/record/entry.ts";
import { sha256Hex } from "../../../../workers/keys/sha-256.ts";
import { aProcedure } from "../../../support/a-procedure.ts";
import { aRun } from "../../../support/a-run.ts";

const procedure = aProcedure();

test("[digest-entry 1] the order of members changes neither text nor digest", () => {
  fc.assert(
    fc.property(fc.integer(), (seed) => {
      const random = createSeededRandom(seed);
      for (const entry of aRun({ procedure, seed, taps: 40 })) {
        const turned = reordered(random, entry) as Entry;
        expect(turned).toEqual(entry);
        expect(entryText(turned)).toBe(entryText(entry));
        expect(entryDigest(turned, sha256Hex)).toBe(entryDigest(entry, sha256Hex));
      }
    }),
    { numRuns: 20 },
  );
});

test("[digest-entry 1] entries that differ in any member have texts that differ", () => {
  const entries = aRun({ procedure, seed: 1, taps: 80 });
  expect(new Set(entries.map(entryText)).size).toBe(entries.length);
  const [entry] = entries as [Entry];
  for (const name of Object.keys(entry)) {
    const { [name as keyof Entry]: _left, ...rest } = entry;
    expect(entryText({ ...rest, [name]: "other" } as Entry)).not.toBe(entryText(entry));
  }
});

// The same value, with the members of each object in another order.
function reordered(random: SeededRandom, value: unknown): unknown {
  if (typeof value !== "object" || value === null) return value;
  if (Array.isArray(value)) return value.map((part) => reordered(random, part));
  const drawn = Object.entries(value).map(([name, member]) => ({
    member: [name, reordered(random, member)] as const,
    draw: random.nextUint32(),
  }));
  return Object.fromEntries(drawn.sort((a, b) => a.draw - b.draw).map(({ member }) => member));
}

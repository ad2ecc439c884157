// How segments' texts lie in a database.

import * as fc from "fast-check";
import { expect, test } from "vitest";
import { packText, tailOfText, unpackText } from "../../../../../workers/hub/storage/pack-text.ts";
import { chain, incoming, note, notes } from "../incoming-entries.ts";
import { run, tablet } from "./a-stored-run.ts";

const text = incoming(chain({ run, device: tablet }, notes(3))).textFrom(1);

test("[pack-text 1] what was packed comes back, whatever stands in it", () => {
  const tail = tailOfText(text);
  expect(tail).toMatch(/^,"head":\{"device":"tablet-1"/);
  fc.assert(
    fc.property(fc.string({ unit: "binary" }), fc.string(), (said, otherTail) => {
      const wellFormed = wellFormedOf(said).slice(0, 250);
      const other = incoming(chain({ run, device: tablet }, [note(`x${wellFormed}`)])).textFrom(1);
      for (const against of [tail, "", wellFormedOf(otherTail)]) {
        expect(unpackText(packText(other, against), against)).toBe(other);
      }
    }),
    { numRuns: 50 },
  );
});

test("[pack-text 1] a form that is not known is not taken for another", () => {
  const packed = packText(text, "");
  packed[0] = 2;
  expect(() => unpackText(packed, "")).toThrow("form that this version knows");
});

test("[pack-text 1] the tail is what makes a small segment small", () => {
  const alone = packText(text, "").length;
  expect(packText(text, tailOfText(text)).length).toBeLessThan(alone / 2);
});

// With what stands for a character in the place of each half of one.
function wellFormedOf(text: string): string {
  return new TextDecoder().decode(new TextEncoder().encode(text));
}

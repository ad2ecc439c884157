// One device's entries as they come in, in any order and more than once.

import * as fc from "fast-check";
import { expect, test } from "vitest";
import {
  addToChain,
  emptyChain,
  setAsideOfChain,
} from "../../../../machines/record/device-chain.ts";
import type { DeviceChain } from "../../../../machines/record/device-chain.ts";
import type { Entry } from "../../../../machines/record/entry.ts";
import type { DeviceId } from "../../../../machines/record/ids.ts";
import { anEmptyRecord } from "../../../support/a-record.ts";

const record = anEmptyRecord(false);
record.addDevice("tablet");
for (let seq = 1; seq <= 12; seq += 1) {
  record.tap("tablet", { kind: "note.added", text: `${seq}`, step: null, oddity: false });
}
const { entries } = record;
const arrivals = fc.array(fc.integer({ min: 0, max: 11 }), { maxLength: 30 });

function chainOf(places: readonly number[]): DeviceChain {
  const chain = emptyChain("tablet" as DeviceId);
  for (const place of places) addToChain(chain, entries[place] as Entry);
  return chain;
}

test("[device-chain 1] the chain goes up to the first gap, and the rest is set aside", () => {
  fc.assert(
    fc.property(arrivals, (places) => {
      const chain = chainOf(places);
      const gap = entries.findIndex((_, place) => !places.includes(place));
      const end = gap === -1 ? entries.length : gap;
      expect(chain.entries).toEqual(entries.slice(0, end));
      const rest = entries.filter((_, place) => place > end && places.includes(place));
      expect(setAsideOfChain(chain)).toEqual(rest.map((entry) => ({ entry, because: "gap" })));
    }),
  );
});

test("[device-chain 2] what was added before changes nothing, be it the same object or a copy", () => {
  fc.assert(
    fc.property(
      arrivals,
      fc.integer({ min: 0, max: 11 }),
      fc.boolean(),
      (places, again, isCopy) => {
        const chain = chainOf([...places, again]);
        const before = structuredClone([chain.entries, setAsideOfChain(chain)]);
        const entry = entries[again] as Entry;
        expect(addToChain(chain, isCopy ? structuredClone(entry) : entry)).toBe(Infinity);
        expect([chain.entries, setAsideOfChain(chain)]).toEqual(before);
      },
    ),
  );
});

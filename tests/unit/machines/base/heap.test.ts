// The heap against sorting.

import * as fc from "fast-check";
import { expect, test } from "vitest";
import { createHeap } from "../../../../machines/base/heap.ts";

test("[heap 1] it gives back all that was put in, in order", () => {
  fc.assert(
    fc.property(fc.array(fc.integer()), (values) => {
      const heap = createHeap<number>((a, b) => a < b);
      for (const value of values) heap.push(value);
      expect(heap.size()).toBe(values.length);
      const popped = values.map(() => heap.pop());
      expect(popped).toEqual([...values].sort((a, b) => a - b));
      expect(heap.pop()).toBeUndefined();
    }),
  );
});

test("[heap 1] pushes and pops may alternate: each pop is the least of what is left", () => {
  fc.assert(
    fc.property(fc.array(fc.option(fc.integer(), { nil: null })), (turns) => {
      const heap = createHeap<number>((a, b) => a < b);
      const left: number[] = [];
      for (const value of turns) {
        if (value === null) {
          left.sort((a, b) => a - b);
          expect(heap.pop()).toBe(left.shift());
        } else {
          heap.push(value);
          left.push(value);
        }
      }
    }),
  );
});

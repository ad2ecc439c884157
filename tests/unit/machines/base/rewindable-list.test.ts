// The rewindable list against plain copies.

import * as fc from "fast-check";
import { expect, test } from "vitest";
import {
  addPart,
  emptyList,
  markList,
  replacePart,
  rewind,
  snapshotOf,
  takeOutPart,
} from "../../../../machines/base/rewindable-list.ts";
import type { ListMark } from "../../../../machines/base/rewindable-list.ts";

const acts = fc.array(
  fc.record({
    act: fc.constantFrom("add", "replace", "take-out", "mark", "rewind"),
    at: fc.nat(1000),
  }),
  { maxLength: 60 },
);

test("[rewindable-list 1] [rewindable-list 2] it goes back to every mark, and snapshots stay", () => {
  fc.assert(
    fc.property(acts, (done) => {
      const list = emptyList<number>();
      const marks: { readonly mark: ListMark; readonly parts: readonly number[] }[] = [];
      const kept: { readonly snapshot: readonly number[]; readonly copy: readonly number[] }[] = [];
      for (const { act, at } of done) {
        const place = list.parts.length === 0 ? 0 : at % list.parts.length;
        if (act === "add" || list.parts.length === 0) addPart(list, at);
        else if (act === "replace") replacePart(list, place, at);
        else if (act === "take-out") takeOutPart(list, place);
        else if (act === "mark") marks.push({ mark: markList(list), parts: [...list.parts] });
        else if (marks.length > 0) {
          marks.length = (at % marks.length) + 1;
          const last = marks.at(-1);
          if (last === undefined) continue;
          rewind(list, last.mark);
          expect(list.parts).toEqual(last.parts);
        }
        const snapshot = snapshotOf(list);
        expect(snapshot).toBe(snapshotOf(list));
        kept.push({ snapshot, copy: [...list.parts] });
      }
      for (const { snapshot, copy } of kept) expect(snapshot).toEqual(copy);
    }),
  );
});

test("[rewindable-list 1] a mark of what has been wound back is refused", () => {
  const list = emptyList<string>();
  addPart(list, "a");
  const later = markList(list);
  rewind(list, { length: 0, edits: 0 });
  expect(() => rewind(list, later)).toThrow("a mark");
});

// Words about bundles.

import { expect, test } from "vitest";
import {
  bundleFileName,
  handedWords,
  takenWords,
} from "../../../../machines/views/bundle-words.ts";

const stamp = "2026-11-25 15.09";

// Signs that may not stand in a name: Microsoft, "Naming Files, Paths, and Namespaces"; POSIX.1-2017,
// 3.170 (the slash and NUL). Both from memory.
test.each([
  ["Monday, pool", "Monday pool"],
  ["../../etc/passwd", "etc passwd"],
  ['a<b>c:d"e|f?g*h\\i', "a b c d e f g h i"],
  ["Rūn\u202Egnp.exe\u0000\n2", "Rūn gnp.exe 2"],
  ["潜水 訓練", "潜水 訓練"],
  ["🙂🙂", "Run"],
  ["...", "Run"],
  ["", "Run"],
  ["x".repeat(500), "x".repeat(60)],
  ["\uD800half", "half"],
])("[bundle-words 1] the file of %j is safe to keep", (title, safe) => {
  expect(bundleFileName(title, stamp)).toBe(`${safe} ${stamp}.lanehold`);
});

test("[bundle-words 2] what is left out is said, and why", () => {
  expect(handedWords({ entries: 12, leftOut: 0 })).toEqual([
    "12 entries in it: everything this device holds.",
  ]);
  const [held, left] = handedWords({ entries: 1, leftOut: 1 });
  expect(held).toBe("1 entry in it: everything this device holds that is signed.");
  expect(left).toMatch(/^1 entry is left out: .*not signed/);
});

test("[bundle-words 2] what came of it is said: new, here before, set aside, no longer kept back", () => {
  const none = { added: 0, replaced: 0, wereHere: 0, setAside: 0 };
  expect(takenWords({ ...none, added: 3, wereHere: 10 })).toEqual([
    "3 new, 10 were here already, 0 set aside.",
  ]);
  expect(takenWords({ ...none, wereHere: 10 })).toContain("Nothing on this device has changed.");
  expect(takenWords({ ...none, setAside: 2 }).join(" ")).toContain("2 set aside.");
  expect(takenWords({ ...none, replaced: 1 }).join(" ")).toContain("1 entry can be read");
});

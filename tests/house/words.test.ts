// Names come from the glossary, files are called after what they hold, and nothing that belongs to
// one machine or one registry is in the tree.

import { expect, test } from "vitest";
import { listFiles, readFiles } from "../support/source-files.ts";
import type { SourceFile } from "../support/source-files.ts";

const fileNames = /(^|\/)(utils?|helpers?|common|types|index|misc|shared)\.(ts|tsx|mjs)$/;
// One word, one meaning: the left one is ours, the right ones are what it must not be called.
const wordsNotUsed: readonly (readonly [ours: string, others: RegExp])[] = [
  ["meet", /\b(rendez-?vous|sync ?point|barrier)\b/i],
  ["entry", /\b(audit log|ledger row|log event)\b/i],
  ["real stop", /\b(kill ?switch|panic button|e-?stop)\b/i],
];
const addresses = /registry\.npmjs|"resolved": *"https?:|\/work\/main|\/home\/\w+\//;

test("[house 4] files are named by what they hold", () => {
  expect(listFiles().filter((path) => fileNames.test(path))).toEqual([]);
  expect(fileNames.test("machines/base/utils.ts")).toBe(true);
  expect(
    listFiles().filter((path) => /[A-Z ]/.test(path.replace(/(^|\/)[A-Z]+(\.md)?$/, ""))),
  ).toEqual([]);
});

test("[house 4] a thing is called by its own word only", () => {
  const files = readFiles(/^(app|workers|machines)\/.*\.(tsx?|json|css)$/);
  expect(files.flatMap(foreignWords)).toEqual([]);
  expect(foreignWords({ path: "a.ts", text: "// a sync point" })).toEqual([
    "a.ts: sync point, say meet",
  ]);
});

test("[house 4] no address of a registry and no path of a machine is in the tree", () => {
  const files = readFiles(/\.(tsx?|mjs|json|md|css|html|yml)$|^\.npmrc$|^\.ci\/run$/);
  const found = files.filter((file) => !file.path.startsWith("tests/house/"));
  expect(found.filter(({ text }) => addresses.test(text)).map(({ path }) => path)).toEqual([]);
});

function foreignWords({ path, text }: SourceFile): readonly string[] {
  return wordsNotUsed.flatMap(([ours, others]) => {
    const found = others.exec(text);
    return found === null ? [] : [`${path}: ${found[0]}, say ${ours}`];
  });
}

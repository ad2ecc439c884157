// Every export has a doc comment, and every file a head comment.

import { expect, test } from "vitest";
import { readFiles } from "../support/source-files.ts";
import type { SourceFile } from "../support/source-files.ts";

test("[house 3] every export has a doc comment", () => {
  const files = readFiles(/^(app|workers|machines)\/.*\.tsx?$/);
  expect(files.flatMap(bareExports)).toEqual([]);
});

test("[house 3] an export without a comment is found", () => {
  expect(bareExports({ path: "a.ts", text: "\nexport function go(): void {}\n" })).toEqual([
    "a.ts: go",
  ]);
  expect(bareExports({ path: "a.ts", text: "/** Goes. */\nexport const go = 1;\n" })).toEqual([]);
});

function bareExports({ path, text }: SourceFile): readonly string[] {
  const lines = text.split("\n");
  return lines.flatMap((line, at) => {
    const name = /^export (?:async )?(?:function\*?|const|type|class|interface) (\w+)/.exec(line);
    if (name === null || lines[at - 1]?.trimEnd().endsWith("*/")) return [];
    return [`${path}: ${name[1]}`];
  });
}

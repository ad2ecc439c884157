// Each planted bug is found by the seed that is known to find it. npm run mutants looks for such seeds.

import { spawnSync } from "node:child_process";
import { join } from "node:path";
import { expect, test } from "vitest";
import { plant } from "./bundle.ts";
import { allMutants } from "./mutants/all-mutants.ts";

test("every planted bug is found by the seed that is known to find it", () => {
  const built = join(import.meta.dirname, "built.mjs");
  const project = join(import.meta.dirname, "../..");
  const found = spawnSync(process.execPath, [built, "try-mutants.ts", "--known"], {
    cwd: project,
    encoding: "utf8",
  });
  expect(found.status, found.stdout + found.stderr).toBe(0);
});

test("a planted bug whose place is not there exactly once is an error", () => {
  const [mutant] = allMutants;
  if (mutant === undefined) throw new Error("There are planted bugs.");
  expect(plant(mutant, `before ${mutant.find} after`)).toBe(`before ${mutant.replace} after`);
  expect(() => plant(mutant, "nothing")).toThrow(mutant.name);
  expect(() => plant(mutant, mutant.find + mutant.find)).toThrow(mutant.name);
});

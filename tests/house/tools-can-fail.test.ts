// Each tool that guards the tree is run once on a planted fault and must find it: a guard that has
// never been seen to fail guards nothing.

import { spawnSync } from "node:child_process";
import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { dirname, join } from "node:path";
import { expect, test } from "vitest";
import { projectFolder } from "../support/source-files.ts";

/** What a tool prints where it finds nothing. */
const clean = /^$|Found 0 warnings and 0 errors/;

type Found = { readonly status: number | null; readonly output: string };
type Planted = { readonly path: string; readonly text: string; readonly finds: RegExp };

test("[house 5] the tools pass what has no fault", () => {
  checkTypes({ path: "machines/base/planted.ts", text: "export const x = 1;", finds: clean });
  checkTypes({ path: "workers/keys/planted.ts", text: "fetch('/');", finds: clean });
  checkLint({ path: "machines/base/planted.ts", text: "export const x = 1;", finds: clean });
});

test("[house 5] the compiler refuses a platform global in machines/", () => {
  for (const text of ["fetch('/');", "document.title;", "setTimeout(() => 1);", "console.log(1);"])
    checkTypes({ path: "machines/base/planted.ts", text, finds: /error TS\d+/ });
  checkTypes({
    path: "machines/base/planted.ts",
    text: 'import { readFileSync } from "node:fs";\nreadFileSync("x");',
    finds: /error TS\d+/,
  });
});

test("[house 5] the compiler refuses the DOM in a worker", () => {
  checkTypes({ path: "workers/keys/planted.ts", text: "document.title;", finds: /error TS\d+/ });
});

test("[house 5] the linter finds a clock, chance, a cast to any, a promise left alone", () => {
  checkLint({ path: "machines/base/planted.ts", text: "Date.now();", finds: /Date/ });
  checkLint({ path: "machines/base/planted.ts", text: "Math.random();", finds: /random/ });
  checkLint({ path: "workers/keys/planted.ts", text: "export const x: any = 1;", finds: /any/ });
  checkLint({
    path: "workers/keys/planted.ts",
    text: "export async function go(): Promise<void> {}\ngo();",
    finds: /floating/i,
  });
});

function checkTypes(planted: Planted): void {
  const folder = planted.path.split("/").slice(0, planted.path.startsWith("machines") ? 1 : 2);
  const config = {
    extends: join(projectFolder, ...folder, "tsconfig.json"),
    compilerOptions: { composite: false, noEmit: true, emitDeclarationOnly: false, rootDir: "/" },
    include: [],
    files: ["planted.ts"],
    references: [],
  };
  const found = inScratch("planted.ts", planted.text, (scratch) => {
    writeFileSync(join(scratch, "tsconfig.json"), JSON.stringify(config));
    return runTool("tsc", ["-p", join(scratch, "tsconfig.json"), "--pretty", "false"]);
  });
  expectFound(planted, found);
}

function checkLint(planted: Planted): void {
  const found = inScratch(planted.path, planted.text, (scratch) => {
    writeFileSync(join(scratch, "tsconfig.json"), '{ "compilerOptions": { "strict": true } }');
    const config = join(projectFolder, ".oxlintrc.json");
    return runTool("oxlint", ["-c", config, planted.path], scratch);
  });
  expectFound(planted, found);
}

function expectFound({ text, finds }: Planted, { status, output }: Found): void {
  expect(output, text).toMatch(finds);
  expect(status === 0, text).toBe(finds === clean);
}

function inScratch<T>(path: string, text: string, use: (scratch: string) => T): T {
  const scratch = mkdtempSync(join(tmpdir(), "planted-"));
  try {
    mkdirSync(dirname(join(scratch, path)), { recursive: true });
    writeFileSync(join(scratch, path), text);
    return use(scratch);
  } finally {
    rmSync(scratch, { recursive: true });
  }
}

function runTool(name: string, args: readonly string[], cwd: string = projectFolder): Found {
  const tool = join(projectFolder, "node_modules", ".bin", name);
  const { status, stdout, stderr } = spawnSync(tool, args, { cwd, encoding: "utf8" });
  return { status, output: stdout + stderr };
}

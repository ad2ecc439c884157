// Checks the procedure in a file and prints what is wrong with it, the most important first.
// Run by check-procedure.mjs: npm run check:procedure -- FILE

import { readFileSync } from "node:fs";
import { judgeProcedure } from "./judge-procedure.ts";

const [file, ...others] = process.argv.slice(2);
if (file === undefined || others.length > 0) {
  print("Name one procedure file: npm run check:procedure -- FILE");
  process.exitCode = 1;
} else {
  checkFile(file);
}

function checkFile(path: string): void {
  const text = readText(path);
  if (text === null) {
    process.exitCode = 1;
    return;
  }
  const { lines, hasFaults } = judgeProcedure(text);
  print(lines.join("\n"));
  process.exitCode = hasFaults ? 1 : 0;
}

function readText(path: string): string | null {
  try {
    return readFileSync(path, "utf8");
  } catch (error) {
    print(`The file ${path} cannot be read (${String(error)}). Name a file that exists.`);
    return null;
  }
}

function print(text: string): void {
  process.stdout.write(`${text}\n`);
}

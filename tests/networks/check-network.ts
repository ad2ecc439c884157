// Checks every network of a file and prints one line for each, then how many passed and failed.
// Run by check-network.mjs: npm run check:network -- FILE.jsonl

import { readFileSync } from "node:fs";
import { judgeNetworks } from "./judge-networks.ts";

const [file, ...others] = process.argv.slice(2);
if (file === undefined || others.length > 0) {
  print("Name one file of networks: npm run check:network -- FILE.jsonl");
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
  let passed = 0;
  let failed = 0;
  for (const { line, hasPassed, says } of judgeNetworks(text)) {
    if (hasPassed) passed += 1;
    else failed += 1;
    print(`line ${line}: ${hasPassed ? "passed" : "FAILED"}: ${says}`);
  }
  if (passed + failed === 0) print("The file has no network: put one JSON object on each line.");
  print(`${passed} passed, ${failed} failed`);
  process.exitCode = failed > 0 || passed === 0 ? 1 : 0;
}

function readText(path: string): string | null {
  try {
    return readFileSync(path, "utf8");
  } catch (error) {
    print(`The file ${path} cannot be read (${String(error)}). Name a file that exists.`);
    return null;
  }
}

function print(line: string): void {
  process.stdout.write(`${line}\n`);
}

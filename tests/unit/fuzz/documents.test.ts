// Procedures and inject scripts of which bytes, values and structure were changed: no reader throws; what
// comes out is whole, or there is a clear fault for every reason why nothing did.

import { expect, test } from "vitest";
import { canonicalJson } from "../../../machines/base/canonical-json.ts";
import type { SeededRandom } from "../../../machines/base/seeded-random.ts";
import type { Fault } from "../../../machines/procedure/fault.ts";
import { procedureIdentity } from "../../../machines/procedure/identity.ts";
import { indexProcedure } from "../../../machines/procedure/procedure-index.ts";
import { readInjectScript } from "../../../machines/procedure/read-inject-script.ts";
import { readProcedure } from "../../../machines/procedure/read-procedure.ts";
import { foldRun } from "../../../machines/record/fold-run.ts";
import { sha256Hex } from "../../../workers/keys/sha-256.ts";
import { demoInjects, demoProcedure } from "../workers/hub/demo/demo-documents.ts";
import { mutateJson, mutateText } from "./mutations.ts";
import { fuzzing, isReplay, pick, playRounds } from "./rounds.ts";

/** A fault's sentences are no longer than this, however long what stands in the file is. */
const sentenceCharactersMax = 2_000;

test(
  "[read-procedure 1] [read-procedure 2] [read-procedure 3] the small demo's document, mutated",
  fuzzing,
  () => checkProcedures("the small demo's document", demoProcedure("first-steps"), 500),
);

test(
  "[read-procedure 1] [read-procedure 2] [read-procedure 3] the long demo's document, mutated",
  fuzzing,
  () => checkProcedures("the long demo's document", demoProcedure("petrel-deck"), 50),
);

test("[read-inject-script 1] inject scripts, mutated", fuzzing, async () => {
  const scripts = [demoInjects("first-steps"), demoInjects("petrel-deck")];
  const outcomes = await playRounds("inject scripts", 1_000, (random) => {
    const { script, faults } = readInjectScript(mutatedText(pick(random, scripts), random));
    if (script === null) return checkFaults(faults);
    expect(faults).toEqual([]);
    const again = readInjectScript(canonicalJson(script));
    expect(again.faults).toEqual([]);
    expect(canonicalJson(again.script)).toBe(canonicalJson(script));
    return "taken";
  });
  checkBothCame(outcomes);
});

async function checkProcedures(name: string, document: object, short: number): Promise<void> {
  const outcomes = await playRounds(name, short, (random) => {
    const { procedure, faults } = readProcedure(mutatedText(document, random));
    if (procedure === null) return checkFaults(faults);
    expect(faults).toEqual([]);
    const identity = procedureIdentity(procedure, sha256Hex);
    const again = readProcedure(canonicalJson(procedure));
    expect(again.faults).toEqual([]);
    expect(again.procedure && procedureIdentity(again.procedure, sha256Hex)).toBe(identity);
    expect(foldRun(indexProcedure(procedure), []).phase).toBe("unopened");
    return "taken";
  });
  checkBothCame(outcomes);
}

function mutatedText(document: object, random: SeededRandom): string {
  if (random.nextBelow(3) > 0) return JSON.stringify(mutateJson(document, random)) ?? "";
  // What a file's reader makes of bytes that are no UTF-8.
  return new TextDecoder().decode(mutateText(JSON.stringify(document, null, 2), random));
}

function checkFaults(faults: readonly Fault[]): string {
  expect(faults.length).toBeGreaterThan(0);
  for (const { path, code, says, mend } of faults) {
    expect(path === "" || path.startsWith("/"), path).toBe(true);
    expect(code).toMatch(/^[a-z0-9-]+$/);
    for (const sentence of [says, mend]) {
      expect(sentence).toMatch(/\S{2}/);
      expect(sentence.length).toBeLessThan(sentenceCharactersMax);
    }
  }
  expect(Reflect.get({}, "polluted")).toBeUndefined();
  return "refused";
}

function checkBothCame(outcomes: Readonly<Record<string, number>>): void {
  if (isReplay()) return;
  expect(outcomes["refused"] ?? 0).toBeGreaterThan(0);
  expect(outcomes["taken"] ?? 0).toBeGreaterThan(0);
}

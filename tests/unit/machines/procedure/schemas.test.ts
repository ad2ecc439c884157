// The published schemas and the readers describe one format; ajv is the judge of the schemas.

import { readFileSync, readdirSync } from "node:fs";
import { Ajv2020 } from "ajv/dist/2020.js";
import * as fc from "fast-check";
import { expect, test } from "vitest";
import injectScriptSchema from "../../../../machines/procedure/inject-script.schema.json" with { type: "json" };
import procedureSchema from "../../../../machines/procedure/procedure.schema.json" with { type: "json" };
import { readInjectScript } from "../../../../machines/procedure/read-inject-script.ts";
import { readProcedure } from "../../../../machines/procedure/read-procedure.ts";
import { aProcedure } from "../../../support/a-procedure.ts";
import { aFullProcedure } from "../../../support/a-full-procedure.ts";
import { anInjectScript } from "../../../support/an-inject-script.ts";
import { breakDocument, everyBreak } from "../../../support/broken-documents.ts";

// Codes of faults that a schema can tell too; every other code is of references, order or sense.
const shapeCodes: ReadonlySet<string> = new Set([
  "wrong-type",
  "missing-member",
  "unknown-member",
  "not-in-list",
  "not-this-value",
  "out-of-range",
  "empty-text",
  "wrong-form",
  "too-few",
  "wrong-format",
  "wrong-version",
  "newer-version",
]);

const ajv = new Ajv2020({ strict: true, strictTypes: false, allErrors: false });
const isProcedureBySchema = ajv.compile(procedureSchema);
const isInjectScriptBySchema = ajv.compile(injectScriptSchema);

const demoFolder = new URL("../../../../workers/hub/demo/", import.meta.url);

function demoDocuments(suffix: string): [name: string, document: unknown][] {
  const names = readdirSync(demoFolder).filter((name) => name.endsWith(suffix));
  return names.map((name) => [name, JSON.parse(readFileSync(new URL(name, demoFolder), "utf8"))]);
}

const procedures: [name: string, document: unknown][] = [
  ["the small procedure", aProcedure()],
  ["the full procedure", aFullProcedure()],
  ...demoDocuments(".procedure.json"),
];
const injectScripts: [name: string, document: unknown][] = [
  ["the small script", anInjectScript()],
  ...demoDocuments(".injects.json"),
];

function hasRightShape(faults: readonly { code: string }[]): boolean {
  return !faults.some((fault) => shapeCodes.has(fault.code));
}

test.each(procedures)("[read-procedure 1] schema and reader take %s", (_name, document) => {
  expect(readProcedure(JSON.stringify(document)).faults).toEqual([]);
  isProcedureBySchema(document);
  expect(isProcedureBySchema.errors ?? []).toEqual([]);
});

test.each(injectScripts)("[read-inject-script 1] schema and reader take %s", (_name, document) => {
  expect(readInjectScript(JSON.stringify(document)).faults).toEqual([]);
  isInjectScriptBySchema(document);
  expect(isInjectScriptBySchema.errors ?? []).toEqual([]);
});

type Judges = {
  readonly readerTakes: (text: string) => boolean;
  readonly schemaTakes: (document: unknown) => boolean;
};

const judgesOfProcedures: Judges = {
  readerTakes: (text) => hasRightShape(readProcedure(text).faults),
  schemaTakes: (document) => isProcedureBySchema(document),
};
const judgesOfInjectScripts: Judges = {
  readerTakes: (text) => hasRightShape(readInjectScript(text).faults),
  schemaTakes: (document) => isInjectScriptBySchema(document),
};

// The two judges must agree on each document, and each verdict must occur so many times.
function checkJudgesAgree(
  documents: Iterable<unknown>,
  { readerTakes, schemaTakes }: Judges,
  verdictsMin: { taken: number; refused: number },
): void {
  const verdicts = { taken: 0, refused: 0 };
  for (const document of documents) {
    const isTaken = schemaTakes(document);
    verdicts[isTaken ? "taken" : "refused"] += 1;
    if (readerTakes(JSON.stringify(document)) !== isTaken) {
      expect.fail(`the schema ${isTaken ? "takes" : "refuses"} ${JSON.stringify(document)}`);
    }
  }
  expect(verdicts.taken).toBeGreaterThan(verdictsMin.taken);
  expect(verdicts.refused).toBeGreaterThan(verdictsMin.refused);
}

test("[read-procedure 2] schema and reader agree on every damage to a procedure", () => {
  checkJudgesAgree(everyBreak(aFullProcedure()), judgesOfProcedures, { taken: 500, refused: 3000 });
});

test("[read-inject-script 2] schema and reader agree on every damage to a script", () => {
  checkJudgesAgree(everyBreak(anInjectScript()), judgesOfInjectScripts, {
    taken: 50,
    refused: 300,
  });
});

test("[read-procedure 2] schema and reader agree on hundreds of procedures damaged thrice", () => {
  const damages = fc.array(fc.tuple(fc.nat(), fc.nat()), { minLength: 3, maxLength: 3 });
  fc.assert(
    fc.property(damages, (chosen) => {
      const broken = chosen.reduce<unknown>(
        (document, [where, how]) => breakDocument(document, where, how),
        aFullProcedure(),
      );
      const isTaken = judgesOfProcedures.schemaTakes(broken);
      expect(judgesOfProcedures.readerTakes(JSON.stringify(broken))).toBe(isTaken);
    }),
    { numRuns: 400 },
  );
});

test("[read-procedure 3] [read-inject-script 3] no damaged text makes a reader throw", () => {
  const texts = [aFullProcedure(), anInjectScript()].map((document) => JSON.stringify(document));
  const damage = fc.tuple(
    fc.constantFrom(...texts),
    fc.nat(),
    fc.nat(40),
    fc.oneof(
      fc.string({ unit: "binary", maxLength: 6 }),
      fc.constantFrom('"', "{", "[", "}", "1e999"),
    ),
  );
  fc.assert(
    fc.property(damage, ([text, at, dropped, put]) => {
      const offset = at % text.length;
      const damaged = text.slice(0, offset) + put + text.slice(offset + dropped);
      expect(readProcedure(damaged).faults).toBeDefined();
      expect(readInjectScript(damaged).faults).toBeDefined();
    }),
    { numRuns: 2000 },
  );
});

test("[read-procedure 3] no JSON value makes a reader throw", () => {
  const strange = fc.jsonValue().map((value) => ({
    ...aProcedure(),
    ...Object(value),
    steps: value,
    positions: [value],
    meets: [value],
  }));
  fc.assert(
    fc.property(fc.oneof(strange, fc.jsonValue()), (value) => {
      expect(readProcedure(JSON.stringify(value)).faults).toBeDefined();
    }),
    { numRuns: 2000 },
  );
});

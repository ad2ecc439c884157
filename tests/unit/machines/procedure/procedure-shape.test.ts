// The shapes check for exactly the types: the compiler holds one way in the readers, the other way here.

import { expect, test } from "vitest";
import type { InjectScript } from "../../../../machines/procedure/inject-script.ts";
import type { Procedure } from "../../../../machines/procedure/procedure.ts";
import { procedureShape } from "../../../../machines/procedure/procedure-shape.ts";
import { injectScriptShape } from "../../../../machines/procedure/read-inject-script.ts";
import { readShape } from "../../../../machines/procedure/read-shape.ts";
import type { ShapeValue } from "../../../../machines/procedure/read-shape.ts";
import { aFullProcedure } from "../../../support/a-full-procedure.ts";
import { anInjectScript } from "../../../support/an-inject-script.ts";

test("[read-procedure 1] whatever is a Procedure fits the shape, and no shape takes more", () => {
  const procedure: Procedure = aFullProcedure();
  const fitting: ShapeValue<typeof procedureShape> = procedure;
  const read: Procedure | null = readShape(procedureShape, fitting).value;
  expect(read).toBe(procedure);
});

test("[read-inject-script 1] whatever is an InjectScript fits the shape, and no shape takes more", () => {
  const script: InjectScript = anInjectScript();
  const fitting: ShapeValue<typeof injectScriptShape> = script;
  const read: InjectScript | null = readShape(injectScriptShape, fitting).value;
  expect(read).toBe(script);
});

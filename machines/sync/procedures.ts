// Procedures at the hub.
//
// GET /api/procedures                list, newest first
// GET /api/procedures/:identity      the document's text
// PUT /api/procedures/:identity      bring a document in; its identity must match
// GET /api/runs/:run/inject-script   a `StoredInjectScript` for the run's procedure, directors' devices only; 404 if none

import type { Identity } from "../procedure/ids.ts";
import type { StoredInjectScript } from "../procedure/inject-script.ts";
import { injectScriptShape } from "../procedure/read-inject-script.ts";
import { anyText, list, object, readShape, text } from "../procedure/read-shape.ts";
import type { ShapeReading } from "../procedure/read-shape.ts";
import { identityShape } from "./wire-shapes.ts";

/** A procedure as the list shows it. */
export type ProcedureSummary = {
  readonly identity: Identity;
  readonly id: string;
  readonly title: string;
  readonly revision: string;
  readonly summary: string;
};

/** Answer of GET /api/procedures. */
export type ProceduresAnswer = { readonly procedures: readonly ProcedureSummary[] };

/** Reads a `ProceduresAnswer`. Errors: none; faults are data. */
export function readProceduresAnswer(value: unknown): ShapeReading<ProceduresAnswer> {
  return readShape(proceduresAnswerShape, value);
}

/** Reads a `StoredInjectScript` as the hub answers it. Errors: none; faults are data. */
export function readStoredInjectScript(value: unknown): ShapeReading<StoredInjectScript> {
  return readShape(storedInjectScriptShape, value);
}

const storedInjectScriptShape = object({ identity: identityShape, script: injectScriptShape });

const proceduresAnswerShape = object({
  procedures: list(
    object({ identity: identityShape, id: text, title: text, revision: text, summary: anyText }),
  ),
});

// From a text to an inject script: the only way.
//
// [read-inject-script 1] A script comes out only if nothing is wrong with it by itself.
// [read-inject-script 2] All faults come out at once, as for procedures.
// [read-inject-script 3] No text makes it throw.
// [read-inject-script 4] Whether its lanes and steps are there is told against the procedure that
//   it is for, by `injectScriptFaults`: a script may be brought in before its procedure.

import { idOf, rawParts } from "./document-parts.ts";
import type { Fault } from "./fault.ts";
import type { InjectId, PositionId, StepId } from "./ids.ts";
import { injectScriptFormat, injectScriptFormatVersion } from "./inject-script.ts";
import type { Inject, InjectScript } from "./inject-script.ts";
import type { Procedure } from "./procedure.ts";
import { readDocument } from "./read-document.ts";
import {
  anyText,
  byMember,
  exactly,
  id,
  list,
  nullable,
  number,
  object,
  pointer,
  text,
  wholeNumber,
} from "./read-shape.ts";
import { doubledFaults, idFaults, listIdFaults } from "./reference-faults.ts";
import type { KnownIds } from "./reference-faults.ts";

/** An inject script without faults, or every fault of the text. */
export type InjectScriptReading =
  | { readonly script: InjectScript; readonly faults: readonly [] }
  | { readonly script: null; readonly faults: readonly Fault[] };

/**
 * Reads the text of an inject script.
 *
 * Errors: none; faults are in the result.
 */
export function readInjectScript(scriptText: string): InjectScriptReading {
  const { document, faults: refusal } = readDocument(
    scriptText,
    injectScriptFormat,
    injectScriptFormatVersion,
  );
  if (document === null) return { script: null, faults: refusal };
  const faults: Fault[] = [];
  const script = injectScriptShape(document, "", faults) ? document : null;
  faults.push(...doubledFaults(rawParts(document["injects"]).map(idOf), "/injects"));
  return script !== null && faults.length === 0 ? { script, faults: [] } : { script: null, faults };
}

/**
 * Faults of a script against the procedure that it is for: its id, and the lanes and steps it
 * names.
 *
 * Errors: none; no fault means that the director can play the script with the procedure.
 */
export function injectScriptFaults(script: InjectScript, procedure: Procedure): Fault[] {
  const known = {
    ids: {
      positions: new Set<string>(procedure.positions.map((position) => position.id)),
      steps: new Set<string>(procedure.steps.map((step) => step.id)),
    },
  };
  const otherProcedure: Fault = {
    path: "/procedureId",
    code: "other-procedure",
    says: `This script is for the procedure ${JSON.stringify(script.procedureId)}.`,
    mend: `Choose a script for ${JSON.stringify(procedure.id)}.`,
  };
  return [
    ...(script.procedureId === procedure.id ? [] : [otherProcedure]),
    ...script.injects.flatMap((inject, index) =>
      injectFaults(known, inject, pointer("/injects", String(index))),
    ),
  ];
}

function injectFaults(
  known: KnownIds<"positions" | "steps">,
  inject: Inject,
  path: string,
): Fault[] {
  const { shownTo, suggestedTrigger, holds, expectedResponse } = inject;
  return [
    ...listIdFaults(known, "positions", shownTo, `${path}/shownTo`),
    ...("step" in suggestedTrigger
      ? idFaults(known, "steps", suggestedTrigger.step, `${path}/suggestedTrigger/step`)
      : []),
    ...(holds === null || holds === "everyone"
      ? []
      : idFaults(known, "positions", holds.lane, `${path}/holds/lane`)),
    ...expectedResponse.flatMap((response, index) =>
      idFaults(known, "positions", response.by, `${path}/expectedResponse/${index}/by`),
    ),
  ];
}

const laneHold = object({ lane: id<PositionId>() });

function everyoneOrLane(
  value: unknown,
  path: string,
  faultsMutable: Fault[],
): value is "everyone" | { readonly lane: PositionId } {
  return typeof value === "string"
    ? exactly("everyone")(value, path, faultsMutable)
    : laneHold(value, path, faultsMutable);
}

const inject = object({
  id: id<InjectId>(),
  name: text,
  card: text,
  shownTo: list(id<PositionId>(), 1),
  playing: anyText,
  suggestedTrigger: byMember({
    step: object({ step: id<StepId>() }),
    atSeconds: object({ atSeconds: number({ min: 0 }) }),
    byHand: object({ byHand: exactly(true) }),
  }),
  holds: nullable(everyoneOrLane),
  expectedResponse: list(
    object({
      by: id<PositionId>(),
      text,
      withinSeconds: nullable(number({ above: 0 })),
    }),
  ),
});

/** The shape of a whole inject script of this code's version. */
export const injectScriptShape = object({
  format: exactly(injectScriptFormat),
  formatVersion: wholeNumber({ min: 1 }),
  title: text,
  procedureId: id<string>(),
  injects: list(inject),
});

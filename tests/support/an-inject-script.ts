// A small valid inject script for the procedure of `a-procedure.ts`; it has every trigger and every hold.

import type { InjectId, PositionId, StepId } from "../../machines/procedure/ids.ts";
import type { Inject, InjectScript } from "../../machines/procedure/inject-script.ts";

/** The script, with the members that a test wants otherwise. Always a new object. */
export function anInjectScript(overrides: Partial<InjectScript> = {}): InjectScript {
  return {
    format: "lanehold.inject-script",
    formatVersion: 1,
    title: "Three cases for the bracket swap",
    procedureId: "bracket-swap",
    injects: [
      anInject("loop-lost", { suggestedTrigger: { step: "ev1-torque" as StepId } }),
      anInject("stuck-bolt-case", {
        suggestedTrigger: { atSeconds: 900 },
        holds: { lane: "ev1" as PositionId },
      }),
      anInject("glove", { holds: "everyone", expectedResponse: [] }),
    ],
    ...overrides,
  };
}

/** An inject that is fired by hand and holds nobody unless told otherwise. */
export function anInject(id: string, overrides: Partial<Inject> = {}): Inject {
  return {
    id: id as InjectId,
    name: `Inject ${id}`,
    card: "You no longer hear the loop.",
    shownTo: ["ev1" as PositionId],
    playing: "Mute the loop.",
    suggestedTrigger: { byHand: true },
    holds: null,
    expectedResponse: [
      { by: "ev1" as PositionId, text: "Stops work.", withinSeconds: 30 },
      { by: "ev2" as PositionId, text: "Goes to EV1.", withinSeconds: null },
    ],
    ...overrides,
  };
}

// The demo documents that every hub brings along; the build takes them into its one file.

import firstStepsInjects from "./demo/first-steps.injects.json" with { type: "json" };
import firstSteps from "./demo/first-steps.procedure.json" with { type: "json" };
import petrelDeckInjects from "./demo/petrel-deck.injects.json" with { type: "json" };
import petrelDeck from "./demo/petrel-deck.procedure.json" with { type: "json" };

/** Procedures, the one that the list shall show first last. */
export const demoProcedures: readonly unknown[] = [petrelDeck, firstSteps];

/** Inject scripts for them. */
export const demoInjectScripts: readonly unknown[] = [firstStepsInjects, petrelDeckInjects];

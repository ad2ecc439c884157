// Every planted bug.

import { hubMutants } from "./hub-mutants.ts";
import type { Mutant } from "./mutant.ts";
import { recordMutants } from "./record-mutants.ts";
import { storeMutants } from "./store-mutants.ts";
import { syncMutants } from "./sync-mutants.ts";

/** Every planted bug, each with a name of its own. */
export const allMutants: readonly Mutant[] = [
  ...storeMutants,
  ...syncMutants,
  ...hubMutants,
  ...recordMutants,
];

/** The mutant of that name. Errors: if there is none. */
export function mutantNamed(name: string): Mutant {
  const found = allMutants.find((mutant) => mutant.name === name);
  if (found === undefined) throw new Error(`No mutant is named ${name}.`);
  return found;
}

// The two demo procedures and their inject scripts, as the hub serves them.

import { readFileSync } from "node:fs";
import type { InjectScript } from "../../../../../machines/procedure/inject-script.ts";
import type { Procedure } from "../../../../../machines/procedure/procedure.ts";
import { readInjectScript } from "../../../../../machines/procedure/read-inject-script.ts";
import { readProcedure } from "../../../../../machines/procedure/read-procedure.ts";

/** Names of the demo procedures; the files are called after them. */
export const demoNames = ["first-steps", "petrel-deck"] as const;

/** One of the demo procedures. */
export type DemoName = (typeof demoNames)[number];

/** A demo procedure, read as any other. Throws with the faults if there are any. */
export function demoProcedure(name: DemoName): Procedure {
  const { procedure, faults } = readProcedure(demoText(name, "procedure"));
  if (procedure === null) {
    throw new Error(JSON.stringify(faults, undefined, 2));
  }
  return procedure;
}

/** The inject script of a demo procedure. Throws with the faults if there are any. */
export function demoInjects(name: DemoName): InjectScript {
  const { script, faults } = readInjectScript(demoText(name, "injects"));
  if (script === null) {
    throw new Error(JSON.stringify(faults, undefined, 2));
  }
  return script;
}

function demoText(name: DemoName, part: "procedure" | "injects"): string {
  const file = `../../../../../workers/hub/demo/${name}.${part}.json`;
  return readFileSync(new URL(file, import.meta.url), "utf8");
}

// The hub's entry: reads the settings, starts, prints the address, ends on SIGTERM or SIGINT.

import { fileURLToPath } from "node:url";
import { OperationError } from "../keys/operation-error.ts";
import { systemClock } from "./clock.ts";
import { readConfig } from "./config.ts";
import { demoInjectScripts, demoProcedures } from "./demo-documents.ts";
import { createLog } from "./log.ts";
import { startHub } from "./start-hub.ts";

async function main(): Promise<void> {
  const appFolder = fileURLToPath(new URL("../app", import.meta.url));
  const config = readConfig(process.argv.slice(2), process.env, appFolder);
  const log = createLog(config.logLevel, systemClock, (line) => process.stderr.write(line));
  const documents = { procedures: demoProcedures, injectScripts: demoInjectScripts };
  const hub = await startHub(config, documents, { clock: systemClock, log });
  process.stdout.write(`Lanehold is at ${hub.address}\n`);
  if (config.printsJson) process.stdout.write(`${JSON.stringify({ address: hub.address })}\n`);
  let isStopping = false;
  for (const signal of ["SIGTERM", "SIGINT"] as const) {
    process.on(signal, () => {
      // A second signal means: at once.
      if (isStopping) process.exit(1);
      isStopping = true;
      hub.stop().then(() => process.exit(0), fail);
    });
  }
}

function fail(cause: unknown): void {
  const says = cause instanceof OperationError ? `${cause.message}\n${cause.mend}` : String(cause);
  const more = cause instanceof Error && !(cause instanceof OperationError) ? cause.stack : "";
  process.stderr.write(`${more === "" ? says : more}\n`);
  process.exit(1);
}

main().catch(fail);

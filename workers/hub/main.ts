// The hub's entry: starts it, prints the address, ends on SIGTERM or SIGINT, reads its certificate anew on
// SIGHUP. With the name of a task before anything else, it does that and ends.

import { fileURLToPath } from "node:url";
import { OperationError } from "../keys/operation-error.ts";
import { systemClock } from "./clock.ts";
import { readConfig, readTaskConfig } from "./config.ts";
import { demoInjectScripts, demoProcedures } from "./demo-documents.ts";
import { createLog } from "./log.ts";
import { startHub } from "./start-hub.ts";
import type { RunningHub } from "./start-hub.ts";
import { allTasks } from "./tasks/all-tasks.ts";

const appFolder = fileURLToPath(new URL("../app", import.meta.url));

async function main(): Promise<void> {
  const [first = "", ...others] = process.argv.slice(2);
  const task = allTasks.get(first);
  if (task === undefined) return serve();
  const { operands, config } = readTaskConfig(others, process.env, appFolder);
  const lines = await task(operands, config, systemClock.nowMs());
  process.stdout.write(`${lines.join("\n")}\n`);
}

async function serve(): Promise<void> {
  const config = readConfig(process.argv.slice(2), process.env, appFolder);
  const log = createLog(config.logLevel, systemClock, (line) => process.stderr.write(line));
  const documents = { procedures: demoProcedures, injectScripts: demoInjectScripts };
  const hub = await startHub(config, documents, { clock: systemClock, log });
  if (hub.trustAddress !== null)
    process.stdout.write(`How a tablet comes to trust it: ${hub.trustAddress}trust\n`);
  process.stdout.write(`Lanehold is at ${hub.address}\n`);
  if (config.printsJson) process.stdout.write(`${JSON.stringify({ address: hub.address })}\n`);
  hear(hub);
}

function hear(hub: RunningHub): void {
  if (hub.reload !== null) process.on("SIGHUP", hub.reload);
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

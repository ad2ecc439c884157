// What the hub's program does besides serving: one task, then it ends.

import { join } from "node:path";
import type { Config } from "../config.ts";
import { loadCertificate } from "../tls/load-certificate.ts";
import { authorityFiles, makeAuthority, renewLeaf } from "../tls/make-authority.ts";
import { trustCautions, trustSteps } from "../tls/trust-steps.ts";
import { backUp } from "./backup.ts";
import type { HubFileContents } from "./inspect-hub-file.ts";
import { renewEpoch } from "./renew-epoch.ts";
import { restore } from "./restore.ts";
import { TaskRefusedError } from "./task-refused-error.ts";

/**
 * Does a task.
 *
 * @param operands what the command line names besides flags
 * @param nowMs milliseconds since 1970
 * @returns lines for the person who asked
 * Errors: those of the task, all of them `OperationError`s.
 */
export type Task = (
  operands: readonly string[],
  config: Config,
  nowMs: number,
) => Promise<readonly string[]>;

/** Every task by the name under which it is asked for. */
export const allTasks: ReadonlyMap<string, Task> = new Map([
  ["backup", backUpTask],
  ["restore", restoreTask],
  ["new-epoch", newEpochTask],
  ["authority", authorityTask],
]);

async function backUpTask(
  operands: readonly string[],
  { dataFolder, database }: Config,
): Promise<readonly string[]> {
  refuseDatabase(database, "Back it up with pg_dump, or by its replication.");
  const target = onlyOperand(operands, "backup FILE");
  const report = backUp(dataFolder, target);
  return [
    `${target}: a whole backup, ${report.bytes} bytes, read through after it was written.`,
    `SHA-256 ${report.digest}, noted in ${target}.sha256`,
    rowsLine(report),
    "It holds what crew must not see coming: keep it where only the hub's keeper gets at it.",
  ];
}

async function restoreTask(
  operands: readonly string[],
  { dataFolder, database }: Config,
  nowMs: number,
): Promise<readonly string[]> {
  refuseDatabase(
    database,
    "Stop the hubs, restore it with pg_restore, then: npm run hub:new-epoch",
  );
  const backup = onlyOperand(operands, "restore FILE");
  const report = restore(dataFolder, backup, nowMs);
  const { keptAside, isDigestChecked } = report;
  return [
    `Restored from ${backup}.`,
    isDigestChecked
      ? "It was what its note of the SHA-256 says."
      : "It had no note of its SHA-256: it was read through, but a changed letter is not found so.",
    rowsLine(report),
    keptAside === null ? "There was no file before." : `The file before is kept: ${keptAside}`,
    "Start the hub. Every device pulls anew and pushes what the restored hub lacks.",
    "Devices that joined after the backup was made join again, with new codes.",
  ];
}

async function newEpochTask(
  _operands: readonly string[],
  { database }: Config,
): Promise<readonly string[]> {
  if (database === null) {
    throw new TaskRefusedError("There is no database: LANEHOLD_DATABASE is not set.", {
      mend: "For a hub with a file of its own, npm run hub:restore gives the new epoch by itself.",
    });
  }
  const epoch = await renewEpoch(database);
  return [
    `The database has the new epoch ${epoch}.`,
    "Start the hubs. Every device pulls anew and pushes what the restored database lacks.",
  ];
}

function refuseDatabase(database: string | null, mend: string): void {
  if (database === null) return;
  throw new TaskRefusedError("The records are in a PostgreSQL database, not in a file.", { mend });
}

async function authorityTask(
  operands: readonly string[],
  { dataFolder }: Config,
  nowMs: number,
): Promise<readonly string[]> {
  const folder = join(dataFolder, "tls");
  const { authorityFile, authorityKeyFile, certificateFile, keyFile } = authorityFiles(folder);
  if (operands.length === 0) renewLeaf(folder, nowMs);
  else makeAuthority(folder, operands, nowMs);
  const files = { authorityFile, certificateFile, keyFile };
  const { authority, endsAtMs, names } = loadCertificate(files, { host: "::", nowMs });
  return [
    `The hub's certificate is good for ${names.join(", ")}, until ${dateOf(endsAtMs)}.`,
    `Fingerprint of its authority (SHA-256): ${authority?.fingerprint ?? ""}`,
    "",
    `Take ${authorityKeyFile} OFF this machine now: onto a stick in a locked place.`,
    "Whoever has it can pose as this hub. It is needed only to renew the hub's certificate:",
    "put it back, give this command without a name, take it off again, send the hub a SIGHUP.",
    "",
    "Start the hub with:",
    `  LANEHOLD_HOST=0.0.0.0 LANEHOLD_HTTP_PORT=8080 LANEHOLD_TLS_CERT=${certificateFile} \\`,
    `  LANEHOLD_TLS_KEY=${keyFile} LANEHOLD_TLS_AUTHORITY=${authorityFile} npm start`,
    `Then, on each tablet, once: http://${names[0] ?? ""}:8080/trust`,
    "",
    ...trustCautions,
    ...trustSteps.flatMap(({ device, steps }) => [
      "",
      `${device}:`,
      ...steps.map((step, index) => `  ${index + 1}. ${step}`),
    ]),
  ];
}

function onlyOperand(operands: readonly string[], usage: string): string {
  const [operand] = operands;
  if (operand !== undefined && operands.length === 1) return operand;
  throw new TaskRefusedError("Name one file.", {
    mend: `npm run hub:${usage.replace(" ", " -- ")}`,
  });
}

function rowsLine({ rowsByTable }: HubFileContents): string {
  const rows = Object.entries(rowsByTable).map(([table, count]) => `${table} ${count}`);
  return `Rows: ${rows.join(", ")}.`;
}

function dateOf(atMs: number): string {
  return new Date(atMs).toISOString().slice(0, 10);
}

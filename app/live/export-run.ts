// A run's record as a file that a person can keep and other programs can read.
//
// [export-run 1] It holds all that this device holds of the run, and no secret of the device.

import type { RunId } from "../../machines/record/ids.ts";
import type { Database } from "../../workers/store/database.ts";
import { entriesOfRun, readRun, readStoredProcedure } from "../../workers/store/read-run.ts";
import { RunMissingError } from "../../workers/store/run-missing-error.ts";

/** First field of the export. */
const runExportFormat = "lanehold.run-export";
/** Version of the export's shape. */
const runExportFormatVersion = 1;

/**
 * The run, its procedure and every entry that this device holds, by device and seq, as JSON. No
 * secret of the device is in it.
 *
 * Errors: `RunMissingError`; Dexie's.
 */
export async function exportRunJson(database: Database, run: RunId): Promise<string> {
  const stored = await readRun(database, run);
  if (stored === undefined) throw new RunMissingError();
  const document = {
    format: runExportFormat,
    formatVersion: runExportFormatVersion,
    run,
    title: stored.title,
    procedureIdentity: stored.procedure,
    procedure: (await readStoredProcedure(database, stored.procedure)) ?? null,
    entries: await entriesOfRun(database, run),
  };
  return `${JSON.stringify(document, null, 2)}\n`;
}

// Taking the record away: CSV for tables, JSON for programs, print for the wall.

import { recordCsv } from "../../machines/views/record-csv.ts";
import { recordJson } from "../../machines/views/record-json.ts";
import type { LiveRun } from "../live/live-run.ts";
import { FileLink } from "../parts/file-link.tsx";
import { TapButton } from "../parts/tap-button.tsx";

/** Buttons that make the files, and links that save them. */
export function ExportLinks({ live }: { readonly live: LiveRun }) {
  const entries = live.entries.value;
  const state = live.state.value;
  return (
    <div class="taps debrief__exports" role="group" aria-label="Take the record away">
      <FileLink
        label="Save as CSV"
        name={`${fileStem(live)}.csv`}
        type="text/csv;charset=utf-8"
        // The mark at the beginning tells spreadsheets that the text is UTF-8.
        make={() => `\uFEFF${recordCsv(live.index, entries, state, isoTime)}`}
      />
      <FileLink
        label="Save as JSON"
        name={`${fileStem(live)}.json`}
        type="application/json"
        make={() => recordJson(live.run, entries, state)}
      />
      <TapButton onTap={() => print()}>Print</TapButton>
    </div>
  );
}

function fileStem(live: LiveRun): string {
  const title = live.procedure.id.replace(/[^a-z0-9-]+/gi, "-");
  return `${title}-${live.procedure.revision}-${live.run.slice(0, 8)}`.toLowerCase();
}

function isoTime(ms: number): string {
  return new Date(ms).toISOString();
}

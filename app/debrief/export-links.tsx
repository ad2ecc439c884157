// Taking the record away: CSV for tables, JSON for programs, print for the wall.

import { useEffect, useState } from "preact/hooks";
import { recordCsv } from "../../machines/views/record-csv.ts";
import { recordJson } from "../../machines/views/record-json.ts";
import type { LiveRun } from "../live/live-run.ts";
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

type FileLinkProps = {
  readonly label: string;
  readonly name: string;
  readonly type: string;
  readonly make: () => string;
};

// The text is made when the link is pressed, so that a long record costs nothing before.
function FileLink({ label, name, type, make }: FileLinkProps) {
  const [address, setAddress] = useState<string | null>(null);
  useEffect(
    () => () => {
      if (address !== null) URL.revokeObjectURL(address);
    },
    [address],
  );
  return (
    <a
      class="tap tap--plain"
      href={address ?? "#"}
      download={name}
      onClick={(event) => {
        const made = URL.createObjectURL(new Blob([make()], { type }));
        event.currentTarget.href = made;
        setAddress(made);
      }}
    >
      {label}
    </a>
  );
}

function fileStem(live: LiveRun): string {
  const title = live.procedure.id.replace(/[^a-z0-9-]+/gi, "-");
  return `${title}-${live.procedure.revision}-${live.run.slice(0, 8)}`.toLowerCase();
}

function isoTime(ms: number): string {
  return new Date(ms).toISOString();
}

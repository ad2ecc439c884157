// Brings in a procedure file: all of it, or nothing and every fault with what would mend it.

import { useState } from "preact/hooks";
import type { LiveShelf, ProcedureImport } from "../live/live-shelf.ts";
import { Notice } from "../parts/notice.tsx";

const fileBytesMax = 20 * 1024 * 1024;

type Came = ProcedureImport & { readonly fileName: string };

/** The way in for a file. */
export function ImportWay({ shelf }: { readonly shelf: LiveShelf }) {
  const [came, setCame] = useState<Came | null>(null);
  const bringIn = async (file: File) => {
    setCame({ ...(await importFile(shelf, file)), fileName: file.name });
  };
  return (
    <section aria-labelledby="import-title">
      <h2 id="import-title">Bring in a procedure file</h2>
      <div class="taps">
        <label class="tap file-way">
          Choose a file
          <input
            type="file"
            accept=".json,application/json"
            onChange={(event) => {
              const input = event.currentTarget;
              const file = input.files?.[0];
              if (file !== undefined) void bringIn(file);
              input.value = "";
            }}
          />
        </label>
      </div>
      {came === null ? null : <ImportWords came={came} />}
    </section>
  );
}

async function importFile(shelf: LiveShelf, file: File): Promise<ProcedureImport> {
  if (file.size > fileBytesMax) {
    return refused("The file is larger than 20 MB.", "Choose a procedure file.");
  }
  try {
    return await shelf.importProcedure(await file.text());
  } catch {
    return refused("The file could not be read.", "Choose it again.");
  }
}

function refused(says: string, mend: string): ProcedureImport {
  return { identity: null, faults: [], refusal: { says, mend } };
}

function ImportWords({ came }: { readonly came: Came }) {
  if (came.identity !== null) {
    return (
      <Notice title={`${came.title} is on this device.`} tone="good" role="status">
        <p class="small">{came.fileName}</p>
      </Notice>
    );
  }
  const count = came.faults.length;
  const title = count === 0 ? "Not brought in." : `Not brought in: ${count} ${faultWord(count)}.`;
  return (
    <Notice title={title} tone="against" role="alert">
      <p>{came.fileName}. Nothing on this device has changed.</p>
      {came.refusal === null ? null : (
        <p>
          {came.refusal.says} {came.refusal.mend}
        </p>
      )}
      {count === 0 ? null : (
        <ol class="fault-list" tabIndex={0} aria-label="Faults">
          {came.faults.map((fault) => (
            <li key={`${fault.path} ${fault.code} ${fault.says}`}>
              <p>
                <strong>{fault.says}</strong>
              </p>
              <p>{fault.mend}</p>
              <p class="soft">
                <code>{fault.path === "" ? "whole file" : fault.path}</code>
              </p>
            </li>
          ))}
        </ol>
      )}
    </Notice>
  );
}

function faultWord(count: number): string {
  return count === 1 ? "fault" : "faults";
}

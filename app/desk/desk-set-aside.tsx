// What was set aside, at the desk: kept, out of the run, and explained.

import { useState } from "preact/hooks";
import { setAsideByWords } from "../../machines/views/set-aside-view.ts";
import type { SetAsideLine } from "../../machines/views/set-aside-view.ts";
import { checkLetters } from "../../workers/keys/check-letters.ts";
import type { LiveRun } from "../live/live-run.ts";
import { timeOfDay } from "../parts/age.tsx";
import { FileLink } from "../parts/file-link.tsx";
import { Letters } from "../parts/letters.tsx";
import { TapButton } from "../parts/tap-button.tsx";

/** The part of the desk that tells what was set aside; nothing where nothing was. */
export function DeskSetAside({ live }: { readonly live: LiveRun }) {
  const [open, setOpen] = useState(false);
  const lines = live.setAside.lines.value;
  const seen = live.setAside.seen.value;
  const fresh = lines.filter((line) => !seen.has(line.key));
  if (lines.length === 0) return null;
  return (
    <section class="desk__part" aria-labelledby="desk-set-aside" data-new={fresh.length}>
      <h3 id="desk-set-aside">Set aside{fresh.length === 0 ? "" : ` · ${fresh.length} new`}</h3>
      <p>Kept as it came, and left out of the run. Nothing of it is lost.</p>
      <div class="taps">
        <TapButton wide pressed={open} onTap={() => setOpen(!open)}>
          {open ? "Hide it" : `Show ${countWords(lines.length)}`}
        </TapButton>
        {fresh.length === 0 || !open ? null : (
          <TapButton onTap={() => void live.setAside.markSeen(fresh.map((line) => line.key))}>
            Mark as seen
          </TapButton>
        )}
        <FileLink
          label="Save as a file"
          name={`set-aside-${live.run.slice(-8)}.json`}
          type="application/json"
          make={live.setAside.fileText}
        />
      </div>
      {open ? (
        <ul class="desk__list">
          {lines.map((line) => (
            <Line key={line.key} line={line} isNew={!seen.has(line.key)} />
          ))}
        </ul>
      ) : null}
    </section>
  );
}

type LineProps = { readonly line: SetAsideLine; readonly isNew: boolean };

function Line({ line, isNew }: LineProps) {
  const at = line.atMs === null ? "" : `, ${timeOfDay(line.atMs)}`;
  return (
    <li class={`set-aside${isNew ? " set-aside--new" : ""}`} data-set-aside={line.key}>
      <p>
        <strong>
          {line.who}, {line.which}
        </strong>{" "}
        <Letters look="beside" text={checkLetters(line.device)} />
        {isNew ? <strong> NEW</strong> : null}
      </p>
      {line.what.length === 0 ? null : <p>{line.what.join("; ")}</p>}
      <p>
        <strong>Why:</strong> {line.why}
      </p>
      <p>
        <strong>What to do:</strong> {line.mend}
      </p>
      <p class="small soft">
        {line.isWaiting ? "Waits" : "Set aside"} {setAsideByWords[line.by]}
        {at}
      </p>
    </li>
  );
}

function countWords(count: number): string {
  return count === 1 ? "what was set aside" : `all ${count}`;
}

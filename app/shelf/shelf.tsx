// The shelf: rehearse now, open a run, join one, bring in a procedure; what is on this device.

import { useState } from "preact/hooks";
import type { LiveShelf, ProcedureOnShelf } from "../live/live-shelf.ts";
import type { TapRefusal } from "../live/live-run.ts";
import { Notice } from "../parts/notice.tsx";
import { TapButton } from "../parts/tap-button.tsx";
import { ImportWay } from "./import-way.tsx";
import { JoinSheet } from "./join-sheet.tsx";
import { OpenSheet } from "./open-sheet.tsx";
import { ProcedureList } from "./procedure-list.tsx";
import { RunList } from "./run-list.tsx";
import { goToRun } from "./go-to-run.ts";
import "./shelf.css";
import { StorageWords } from "./storage-words.tsx";

/** `id` of the small demo procedure, the one for first use. */
const firstProcedureId = "first-steps";

/** The screen that everyone starts on. */
export function ShelfScreen({ shelf }: { readonly shelf: LiveShelf }) {
  const [joining, setJoining] = useState(false);
  const [opening, setOpening] = useState<ProcedureOnShelf | null>(null);
  const procedures = shelf.procedures.value;
  return (
    <div class="shelf">
      <Welcome shelf={shelf} />
      <section aria-labelledby="ways-title">
        <h2 id="ways-title">With others</h2>
        <div class="taps">
          <TapButton wide onTap={() => setJoining(true)}>
            Join by code…
          </TapButton>
          <TapButton
            wide
            whyNot={procedures.length === 0 ? "There is no procedure on this device yet." : null}
            onTap={() => setOpening(firstOf(procedures) ?? null)}
          >
            Open a run with others…
          </TapButton>
        </div>
      </section>
      <RunList shelf={shelf} />
      <ProcedureList shelf={shelf} onOpen={setOpening} />
      <ImportWay shelf={shelf} />
      <StorageWords shelf={shelf} />
      {joining ? <JoinSheet shelf={shelf} onClose={() => setJoining(false)} /> : null}
      {opening === null ? null : (
        <OpenSheet shelf={shelf} first={opening} onClose={() => setOpening(null)} />
      )}
    </div>
  );
}

function Welcome({ shelf }: { readonly shelf: LiveShelf }) {
  const [refusal, setRefusal] = useState<TapRefusal | null>(null);
  const [busy, setBusy] = useState(false);
  const first = firstOf(shelf.procedures.value);
  const rehearse = async () => {
    if (first === undefined || busy) return;
    setBusy(true);
    const outcome = await shelf.openRun(first.identity, `${first.title}, alone`);
    setBusy(false);
    setRefusal(outcome.refusal);
    if (outcome.refusal === null) goToRun(outcome.value, "lane");
  };
  return (
    <div class="landing shelf__welcome">
      <h2>Rehearse two lanes of suited work</h2>
      <div class="taps">
        <TapButton
          tone="main"
          wide
          whyNot={first === undefined ? whyNoProcedure(shelf) : busy ? "Opening the run." : null}
          onTap={() => void rehearse()}
        >
          {busy ? "Opening…" : "Rehearse now"}
        </TapButton>
      </div>
      <p>
        {first === undefined
          ? whyNoProcedure(shelf)
          : `Alone, every lane yours: ${first.title}. Nothing can break.`}
      </p>
      {refusal === null ? null : (
        <Notice title={refusal.says} tone="against" role="alert">
          <p>{refusal.mend}</p>
        </Notice>
      )}
    </div>
  );
}

function firstOf(procedures: readonly ProcedureOnShelf[]): ProcedureOnShelf | undefined {
  return procedures.find((one) => one.id === firstProcedureId) ?? procedures[0];
}

function whyNoProcedure(shelf: LiveShelf): string {
  if (shelf.hub.value === "unknown") return "Fetching the procedures…";
  return "No procedure is on this device yet. Reach the hub once, or bring in a file.";
}

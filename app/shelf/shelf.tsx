// The shelf: rehearse now, open a run, join one, bring in a procedure; what is on this device.

import { useEffect, useState } from "preact/hooks";
import type { JoinLink } from "../../machines/sync/join-link.ts";
import type { LiveShelf, ProcedureOnShelf } from "../live/live-shelf.ts";
import type { TapRefusal } from "../live/live-run.ts";
import { Notice } from "../parts/notice.tsx";
import { TapButton } from "../parts/tap-button.tsx";
import { ImportWay } from "./import-way.tsx";
import { JoinSheet } from "./join-sheet.tsx";
import { OpenSheet } from "./open-sheet.tsx";
import { RecoverSheet } from "./recover-sheet.tsx";
import { ProcedureList } from "./procedure-list.tsx";
import { ReadBundleWay } from "./read-bundle-way.tsx";
import { RunList } from "./run-list.tsx";
import { goToRun } from "./go-to-run.ts";
import "./shelf.css";
import { StorageWords } from "./storage-words.tsx";

/** `id` of the small demo procedure, the one for first use. */
const firstProcedureId = "first-steps";

/** What the shelf needs. */
export type ShelfScreenProps = {
  readonly shelf: LiveShelf;
  /** The invitation by which the page was opened; null: there is none, or it was taken. */
  readonly link: JoinLink | null;
  readonly onLinkTaken: () => void;
};

/** The screen that everyone starts on. */
export function ShelfScreen({ shelf, link, onLinkTaken }: ShelfScreenProps) {
  const [taken, setTaken] = useState<JoinLink | null>(null);
  const [joining, setJoining] = useState(false);
  const [recovering, setRecovering] = useState(false);
  const [opening, setOpening] = useState<ProcedureOnShelf | null>(null);
  const procedures = shelf.procedures.value;
  useEffect(() => {
    if (link === null) return;
    setTaken(link);
    setJoining(true);
    onLinkTaken();
  }, [link]);
  const stopJoining = () => {
    setTaken(null);
    setJoining(false);
  };
  return (
    <div class="shelf">
      <Welcome shelf={shelf} />
      <section aria-labelledby="ways-title">
        <h2 id="ways-title">With others</h2>
        <div class="taps">
          <TapButton wide onTap={() => setJoining(true)}>
            Join by QR or code…
          </TapButton>
          <TapButton
            wide
            whyNot={procedures.length === 0 ? "There is no procedure on this device yet." : null}
            onTap={() => setOpening(firstOf(procedures) ?? null)}
          >
            Open a run with others…
          </TapButton>
          <ReadBundleWay />
          <TapButton onTap={() => setRecovering(true)}>Recover a run…</TapButton>
        </div>
      </section>
      <RunList shelf={shelf} />
      <ProcedureList shelf={shelf} onOpen={setOpening} />
      <ImportWay shelf={shelf} />
      <StorageWords shelf={shelf} />
      {joining ? (
        <JoinSheet key={taken?.code} shelf={shelf} link={taken} onClose={stopJoining} />
      ) : null}
      {recovering ? <RecoverSheet shelf={shelf} onClose={() => setRecovering(false)} /> : null}
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
    const outcome = await shelf.openRun(first.identity, `${first.title}, alone`, false);
    setBusy(false);
    setRefusal(outcome.refusal);
    if (outcome.refusal === null) goToRun(outcome.value.run, "lane");
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

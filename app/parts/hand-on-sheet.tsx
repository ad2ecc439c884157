// Making a bundle of a run: for whom, what is in it, and how it goes out.

import { useEffect, useState } from "preact/hooks";
import { handedWords } from "../../machines/views/bundle-words.ts";
import type { BundleReaders } from "../../machines/sync/bundle.ts";
import { canShare, handOnBundle, shareFile } from "../live/hand-on-bundle.ts";
import type { HandedBundle } from "../live/hand-on-bundle.ts";
import type { LiveRun, TapRefusal } from "../live/live-run.ts";
import { liveStore } from "../live/live-store.ts";
import { announce } from "./announce.tsx";
import "./bundle.css";
import { Notice } from "./notice.tsx";
import { Sheet } from "./sheet.tsx";
import { TapButton } from "./tap-button.tsx";

/** Which run, and what closes the sheet. */
export type HandOnSheetProps = { readonly live: LiveRun; readonly onClose: () => void };

/** For whom, if there is a choice; then the file. */
export function HandOnSheet({ live, onClose }: HandOnSheetProps) {
  const [made, setMade] = useState<HandedBundle | null>(null);
  const [refusal, setRefusal] = useState<TapRefusal | null>(null);
  const [busy, setBusy] = useState(false);
  const make = async (readers: BundleReaders) => {
    if (busy) return;
    setBusy(true);
    const outcome = await handOnBundle(liveStore(), live.run, readers);
    setBusy(false);
    setMade(outcome.value);
    setRefusal(outcome.refusal);
    if (outcome.value !== null) announce(handedWords(outcome.value).join(" "), "polite");
  };
  const whyNot = busy ? "Making the bundle." : null;
  return (
    <Sheet title="Hand on a bundle" onClose={onClose}>
      <p>
        A file with the record of this run, to be read on another device: by a cable, a card, or
        whatever shares files. Reading it twice changes nothing.
      </p>
      <div class="taps">
        <TapButton
          wide
          tone={made === null ? "main" : "plain"}
          whyNot={whyNot}
          onTap={() => void make("everybody")}
        >
          {made === null ? "Make it for everybody" : "Make it anew for everybody"}
        </TapButton>
        {isDirector(live) ? (
          <TapButton wide whyNot={whyNot} onTap={() => void make("directors")}>
            Make it for directors, with the injects
          </TapButton>
        ) : null}
      </div>
      {refusal === null ? null : (
        <Notice title={refusal.says} tone="against" role="alert">
          <p>{refusal.mend}</p>
        </Notice>
      )}
      {made === null ? null : <Made key={made.file.name + made.readers} made={made} />}
    </Sheet>
  );
}

function Made({ made }: { readonly made: HandedBundle }) {
  const [told, setTold] = useState<string | null>(null);
  const address = useAddressOf(made.file);
  const share = async () => {
    const shared = await shareFile(made.file);
    if (shared === "shared") setTold("Shared.");
    if (shared === "failed") setTold("This device does not share such a file. Save it instead.");
  };
  return (
    <div class="landing bundle" role="group" aria-label="The bundle">
      <p class="bundle__name">{made.file.name}</p>
      <p>
        {made.readers === "everybody" ? (
          "For everybody: nothing of an inject before it is live."
        ) : (
          <strong>For directors only: it tells every inject. Other devices refuse it.</strong>
        )}
      </p>
      {handedWords(made).map((words) => (
        <p key={words}>{words}</p>
      ))}
      <div class="taps">
        {canShare(made.file) ? (
          <TapButton tone="main" wide onTap={() => void share()}>
            Share it…
          </TapButton>
        ) : null}
        {address === null ? null : (
          <a class="tap tap--plain" href={address} download={made.file.name}>
            Save the file
          </a>
        )}
      </div>
      {told === null ? null : <p role="status">{told}</p>}
    </div>
  );
}

function useAddressOf(file: File): string | null {
  const [address, setAddress] = useState<string | null>(null);
  useEffect(() => {
    const made = URL.createObjectURL(file);
    setAddress(made);
    return () => URL.revokeObjectURL(made);
  }, [file]);
  return address;
}

// By the record: what the hub let in is no director before a director's device has said so.
function isDirector(live: LiveRun): boolean {
  const inRun = live.state.value.devices[live.me.device];
  return live.me.role === "director" && inRun?.role === "director" && inRun.struckOffAtMs === null;
}

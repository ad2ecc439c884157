// Joining a run: by the director's QR, which names the run's own key, or by a typed code, after which the
// person compares letters with the director's screen.

import { useState } from "preact/hooks";
import { readJoinLink } from "../../machines/sync/join-link.ts";
import type { JoinLink } from "../../machines/sync/join-link.ts";
import type { JoinOffer, LiveShelf } from "../live/live-shelf.ts";
import type { TapRefusal } from "../live/live-run.ts";
import { TextField } from "../parts/field.tsx";
import { Letters } from "../parts/letters.tsx";
import { Notice } from "../parts/notice.tsx";
import { QrScan } from "../parts/qr-scan.tsx";
import { Sheet } from "../parts/sheet.tsx";
import { TapButton } from "../parts/tap-button.tsx";
import { CompareLetters } from "./compare-letters.tsx";
import { goToRun } from "./go-to-run.ts";
import { InvitationElsewhere } from "./invitation-elsewhere.tsx";

/** Which shelf, the invitation that opened the page, if one did, and what closes the sheet. */
export type JoinSheetProps = {
  readonly shelf: LiveShelf;
  readonly link: JoinLink | null;
  readonly onClose: () => void;
};

/** The way in: scan or type, name the device, and for a typed code compare the letters. */
export function JoinSheet({ shelf, link, onClose }: JoinSheetProps) {
  const [scanned, setScanned] = useState(link);
  const [offer, setOffer] = useState<JoinOffer | null>(null);
  const isElsewhere = scanned !== null && !isOfThisHub(scanned);
  return (
    <Sheet title={offer === null ? "Join a run" : "Compare the letters"} onClose={onClose}>
      {offer !== null ? (
        <CompareLetters offer={offer} deviceName={shelf.deviceName.value} />
      ) : isElsewhere ? (
        <InvitationElsewhere link={scanned} onBack={() => setScanned(null)} />
      ) : (
        <JoinForm shelf={shelf} scanned={scanned} onScanned={setScanned} onOffer={setOffer} />
      )}
    </Sheet>
  );
}

type JoinFormProps = {
  readonly shelf: LiveShelf;
  readonly scanned: JoinLink | null;
  readonly onScanned: (link: JoinLink | null) => void;
  readonly onOffer: (offer: JoinOffer) => void;
};

function JoinForm({ shelf, scanned, onScanned, onOffer }: JoinFormProps) {
  const [typed, setTyped] = useState("");
  const [name, setName] = useState(shelf.deviceName.value);
  const [refusal, setRefusal] = useState<TapRefusal | null>(null);
  const [busy, setBusy] = useState(false);
  const code = scanned?.code ?? typed;
  const isWhole = code.replace(/[^A-Za-z]/g, "").length === 8;
  const stopped = whyNot(isWhole, name, busy);
  const join = async () => {
    setBusy(true);
    const asked = { code: code.trim(), deviceName: name.trim(), scanned: scanned?.run ?? null };
    const outcome = await shelf.askToJoin(asked);
    if (outcome.refusal === null && scanned === null) onOffer(outcome.value);
    // The QR has named the run and its key; there is nothing to compare.
    const kept =
      outcome.refusal === null && scanned !== null ? await outcome.value.keep() : outcome;
    setBusy(false);
    setRefusal(kept.refusal);
    if (scanned !== null && outcome.refusal === null && kept.refusal === null) {
      goToRun(outcome.value.run, null);
    }
  };
  const enter = () => {
    if (stopped === null) void join();
  };
  return (
    <>
      {scanned === null ? (
        <CodeWays typed={typed} onTyped={setTyped} onScanned={onScanned} onEnter={enter} />
      ) : (
        <Scanned link={scanned} onForget={() => onScanned(null)} />
      )}
      <TextField
        label="This device’s name"
        hint="What the others read, like “EV1 tablet”."
        value={name}
        maxLength={200}
        onValue={setName}
        onEnter={enter}
      />
      {refusal === null ? null : (
        <Notice title={refusal.says} tone="against" role="alert">
          <p>{refusal.mend}</p>
        </Notice>
      )}
      <div class="taps">
        <TapButton tone="main" wide whyNot={stopped} onTap={enter}>
          {busy ? "Joining…" : "Join"}
        </TapButton>
      </div>
    </>
  );
}

type CodeWaysProps = {
  readonly typed: string;
  readonly onTyped: (typed: string) => void;
  readonly onScanned: (link: JoinLink) => void;
  readonly onEnter: () => void;
};

function CodeWays({ typed, onTyped, onScanned, onEnter }: CodeWaysProps) {
  const [isScanning, setScanning] = useState(false);
  const [isStrange, setStrange] = useState(false);
  const see = (text: string) => {
    const link = readJoinLink(text);
    setStrange(link === null);
    if (link !== null) onScanned(link);
  };
  return (
    <>
      <div class="taps">
        <TapButton wide pressed={isScanning} onTap={() => setScanning(!isScanning)}>
          {isScanning ? "Put the camera away" : "Scan the QR…"}
        </TapButton>
      </div>
      {isScanning ? <QrScan onText={see} /> : null}
      {isScanning && isStrange ? (
        <Notice title="This QR is no invitation to a run." role="status">
          <p>Scan the one on the director’s screen or slip.</p>
        </Notice>
      ) : null}
      <TextField
        label="Code from the director"
        hint="Eight letters, like BCDF-GHJK. It lets one device in, once."
        value={typed}
        maxLength={12}
        capitals
        onValue={onTyped}
        onEnter={onEnter}
      />
    </>
  );
}

type ScannedProps = { readonly link: JoinLink; readonly onForget: () => void };

function Scanned({ link, onForget }: ScannedProps) {
  return (
    <Notice title="Invitation read." tone="good" role="status">
      <p>
        Code <Letters look="beside" text={link.code} />
      </p>
      <div class="taps">
        <TapButton onTap={onForget}>Take another code</TapButton>
      </div>
    </Notice>
  );
}

function isOfThisHub({ origin }: JoinLink): boolean {
  return origin === null || origin === location.origin.toLowerCase();
}

function whyNot(isWhole: boolean, name: string, busy: boolean): string | null {
  if (busy) return "Joining.";
  if (!isWhole) return "Type all eight letters, or scan the QR.";
  return name.trim() === "" ? "Name this device first." : null;
}

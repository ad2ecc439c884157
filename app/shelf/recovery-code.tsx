// The recovery code of a run, shown once, when the run is opened.
//
// [recovery-code 1] It is left only by a person's word: written down, or done without.

import { useState } from "preact/hooks";
import { HoldToDoButton } from "../parts/hold-to-do-button.tsx";
import { Letters } from "../parts/letters.tsx";
import { Notice } from "../parts/notice.tsx";
import { printSlip } from "../parts/print-slip.tsx";
import { Sheet } from "../parts/sheet.tsx";
import { TapButton } from "../parts/tap-button.tsx";

/** The code, the run's title, and what comes after it. */
export type RecoveryCodeProps = {
  readonly code: string;
  readonly title: string;
  readonly onDone: () => void;
};

/** The code to write down. */
export function RecoveryCode({ code, title, onDone }: RecoveryCodeProps) {
  const [isLeaving, setLeaving] = useState(false);
  return (
    <Sheet title="Recovery code" onClose={() => setLeaving(true)}>
      <p>
        Write it down. It replaces a lost director’s tablet: with it, another device becomes a
        director’s. It is shown this once and kept nowhere.
      </p>
      <div class="landing">
        <p>
          <Letters look="code" text={code} />
        </p>
      </div>
      <p class="small">
        Keep it as you keep a key: whoever has it may direct this run. Never photograph it with the
        tablet that it is to replace.
      </p>
      {isLeaving ? (
        <Notice title="You have not said that it is written down." tone="against" role="alert">
          <p>Without it nobody can take this tablet’s place if it is lost.</p>
          <div class="taps">
            <HoldToDoButton tone="against" wide onDone={onDone}>
              Go on without it
            </HoldToDoButton>
          </div>
        </Notice>
      ) : null}
      <div class="taps">
        <TapButton tone="main" wide onTap={onDone}>
          I have written it down
        </TapButton>
        <TapButton onTap={() => printSlip(<Slip code={code} title={title} />)}>Print it</TapButton>
      </div>
    </Sheet>
  );
}

function Slip({ code, title }: Pick<RecoveryCodeProps, "code" | "title">) {
  return (
    <>
      <h1>Recovery code</h1>
      <p>Run: {title}</p>
      <p>
        <Letters look="code" text={code} />
      </p>
      <p>
        It replaces a lost director’s tablet: “Recover a run” on another device’s shelf. Whoever has
        it may direct this run. Keep it as you keep a key, and destroy it when the run is closed.
      </p>
    </>
  );
}

// Striking a device off: what it means, why, and a press-and-hold.

import { useState } from "preact/hooks";
import type { DeskDevice } from "../../machines/views/desk-view.ts";
import type { LiveRun } from "../live/live-run.ts";
import { ReasonDialog } from "../parts/reason-dialog.tsx";
import { TapButton } from "../parts/tap-button.tsx";

/** Which device of the run. */
export type StrikeOffProps = {
  readonly live: LiveRun;
  readonly device: DeskDevice;
  /** False: it is the recovery code's key. */
  readonly isTablet: boolean;
};

/** The button, and the question behind it. */
export function StrikeOff({ live, device, isTablet }: StrikeOffProps) {
  const [asking, setAsking] = useState(false);
  const name = isTablet ? device.name : "the recovery code";
  return (
    <>
      <TapButton name={`Strike off ${name}`} onTap={() => setAsking(true)}>
        Strike off…
      </TapButton>
      {asking ? (
        <ReasonDialog
          title={`Strike off ${name}`}
          says={isTablet ? tabletWords : recoveryWords}
          suggestions={isTablet ? tabletReasons : recoveryReasons}
          act="Strike off"
          hold
          tone="against"
          onReason={(reason) => {
            setAsking(false);
            void live.take({ kind: "device.struck-off", struckOff: device.device, reason }, null);
          }}
          onClose={() => setAsking(false)}
        />
      ) : null}
    </>
  );
}

const tabletWords =
  "What it has entered stays in the record. What it enters from now on is set aside and changes " +
  "nothing. It hears nothing more of the run, a real stop neither: tell whoever has it. It can still " +
  "call the real stop. A new invitation lets it in again.";
const tabletReasons = ["Tablet lost", "Tablet broken", "Joined by mistake"];

const recoveryWords =
  "The written code opens nothing any more, and no other is made for this run. What was entered " +
  "with it stays in the record.";
const recoveryReasons = ["Code lost", "Code seen by others"];

// An invitation that is out: its code, its QR, the letters to compare, and what has become of it.

import { isLoopbackOrigin, joinLink } from "../../machines/sync/join-link.ts";
import { rootOfRun } from "../../machines/record/ids.ts";
import type { RunId } from "../../machines/record/ids.ts";
import { formatSpan } from "../../machines/views/format-time.ts";
import { invitationStand } from "../../machines/views/invitation-view.ts";
import type { Invitation, InvitationStand } from "../../machines/views/invitation-view.ts";
import { checkLetters } from "../../workers/keys/check-letters.ts";
import type { LiveRun } from "../live/live-run.ts";
import { timeOfDay } from "../parts/age.tsx";
import { Letters } from "../parts/letters.tsx";
import { Notice } from "../parts/notice.tsx";
import { printSlip } from "../parts/print-slip.tsx";
import { QrCode } from "../parts/qr-code.tsx";
import { TapButton } from "../parts/tap-button.tsx";
import "./invitation-out.css";

/** An invitation with its code. */
export type MadeInvitation = {
  readonly code: string;
  readonly invitation: Invitation;
  /** "Crew, EV1". */
  readonly forWhom: string;
};

/** What the sheet shows, and what follows it. */
export type InvitationOutProps = {
  readonly live: LiveRun;
  readonly made: MadeInvitation;
  /** Makes a new code for the same role and lane. */
  readonly onAgain: () => void;
  /** Goes back to role and lane. */
  readonly onOther: () => void;
};

/** The invitation, to be held before the other device. */
export function InvitationOut({ live, made, onAgain, onOther }: InvitationOutProps) {
  const nowMs = live.nowMs.value;
  const stand = invitationStand(made.invitation, live.state.value.devices, nowMs);
  const title = live.state.value.title;
  return (
    <>
      {stand.is === "open" ? (
        <div class="invitation landing">
          <InvitationWords run={live.run} made={made} />
        </div>
      ) : null}
      <StandWords stand={stand} />
      {stand.is === "open" && isLoopbackOrigin(location.origin) ? (
        <Notice title="Other machines cannot reach this address.">
          <p>
            {location.origin} leads every machine to itself. Open this page at the hub’s own address
            before you invite another machine.
          </p>
        </Notice>
      ) : null}
      <div class="taps">
        {stand.is === "open" ? (
          <TapButton onTap={() => printSlip(<Slip run={live.run} title={title} made={made} />)}>
            Print it
          </TapButton>
        ) : null}
        <TapButton wide onTap={onAgain}>
          New code for {made.forWhom}
        </TapButton>
        <TapButton wide onTap={onOther}>
          Another role or lane
        </TapButton>
      </div>
    </>
  );
}

type InvitationWordsProps = { readonly run: RunId; readonly made: MadeInvitation };

function InvitationWords({ run, made }: InvitationWordsProps) {
  return (
    <>
      <div class="invitation__words">
        <p>
          For <strong>{made.forWhom}</strong>, one device, once. Open{" "}
          <strong>{location.origin}</strong> there, and type under “Join by QR or code”:
        </p>
        <p>
          <Letters look="code" text={made.code} />
        </p>
        <p>Then compare these check letters of the run with that screen:</p>
        <p>
          <Letters look="check" text={lettersOfRun(run)} />
        </p>
      </div>
      <div class="invitation__qr">
        <QrCode
          text={joinLink(location.origin, made.code, run)}
          label={`QR of this invitation, for ${made.forWhom}`}
        />
        <p class="small">Or scan this there; then there is nothing to compare.</p>
      </div>
    </>
  );
}

function StandWords({ stand }: { readonly stand: InvitationStand }) {
  if (stand.is === "open") {
    return (
      <p>
        Good for <span class="sounding">{formatSpan(stand.secondsLeft)}</span> more.
      </p>
    );
  }
  if (stand.is === "lapsed") {
    return (
      <Notice title="This code has lapsed." role="status">
        <p>Nobody has come in by it. Make a new one.</p>
      </Notice>
    );
  }
  return (
    <Notice title={`Used: ${stand.name} is in the run.`} tone="good" role="status">
      <p>
        Its own check letters are <Letters look="beside" text={checkLetters(stand.device)} />; its
        shelf shows them. If it is not the device that you meant, strike it off.
      </p>
    </Notice>
  );
}

type SlipProps = InvitationWordsProps & { readonly title: string };

function Slip({ run, title, made }: SlipProps) {
  return (
    <>
      <h1>Invitation: {title}</h1>
      <InvitationWords run={run} made={made} />
      <p>The code lapses at {timeOfDay(made.invitation.expiresAtMs)}.</p>
    </>
  );
}

/** The check letters of the device that opened the run. Errors: none. */
export function lettersOfRun(run: RunId): string {
  const root = rootOfRun(run);
  return root === null ? "" : checkLetters(root);
}

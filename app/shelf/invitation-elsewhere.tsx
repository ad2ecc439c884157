// An invitation to a run at another hub than the one that this page came from.

import { joinLink } from "../../machines/sync/join-link.ts";
import type { JoinLink } from "../../machines/sync/join-link.ts";
import { Notice } from "../parts/notice.tsx";
import { TapButton } from "../parts/tap-button.tsx";

/** The invitation, and the way back. */
export type InvitationElsewhereProps = { readonly link: JoinLink; readonly onBack: () => void };

/** Says so, and leads there. */
export function InvitationElsewhere({ link, onBack }: InvitationElsewhereProps) {
  const origin = link.origin ?? "";
  return (
    <Notice title="This invitation is of another hub." role="status">
      <p>
        The run is at <strong>{origin}</strong>; this page came from{" "}
        <strong>{location.origin}</strong>. Go on only if the director named that address.
      </p>
      <div class="taps">
        <a class="tap" href={joinLink(origin, link.code, link.run)}>
          Go to that hub
        </a>
        <TapButton onTap={onBack}>Take another code</TapButton>
      </div>
    </Notice>
  );
}

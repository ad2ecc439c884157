// Inviting a device: its role, its lane, and then a code to be typed or scanned there.

import { useState } from "preact/hooks";
import type { PositionId } from "../../machines/procedure/ids.ts";
import type { Role } from "../../machines/record/entry.ts";
import { roleAndLane } from "../../machines/views/desk-view.ts";
import type { LiveRun, TapRefusal } from "../live/live-run.ts";
import { useShelf } from "../live/use-shelf.ts";
import { announce } from "../parts/announce.tsx";
import { ChoiceField } from "../parts/field.tsx";
import { spelled } from "../parts/letters.tsx";
import { Notice } from "../parts/notice.tsx";
import { Sheet } from "../parts/sheet.tsx";
import { TapButton } from "../parts/tap-button.tsx";
import { InvitationOut } from "./invitation-out.tsx";
import type { MadeInvitation } from "./invitation-out.tsx";
import { invitedRoles } from "./invited-roles.ts";

/** What the sheet starts with. */
export type InviteSheetProps = {
  readonly live: LiveRun;
  readonly role: Role;
  readonly lane: PositionId | null;
  /** Positions that have nobody. */
  readonly empty: ReadonlySet<PositionId>;
  readonly onClose: () => void;
};

type Asking =
  | { readonly is: "none" | "asking" }
  | { readonly is: "made"; readonly made: MadeInvitation }
  | { readonly is: "refused"; readonly refusal: TapRefusal };

/** Asks for role and lane, then shows the invitation. */
export function InviteSheet(props: InviteSheetProps) {
  const { live, onClose } = props;
  const opening = useShelf();
  const [role, setRole] = useState(props.role);
  const [lane, setLane] = useState(props.lane);
  const [asking, setAsking] = useState<Asking>({ is: "none" });
  const whyNot = whyNotInvite(role, lane, opening.state === "open");

  async function invite(): Promise<void> {
    if (opening.state !== "open") return;
    setAsking({ is: "asking" });
    const given = laneFor(role, lane);
    const before = live.state.value.devices;
    const outcome = await opening.shelf.invite(live.run, role, given);
    if (outcome.refusal !== null) {
      setAsking({ is: "refused", refusal: outcome.refusal });
      return;
    }
    const { code, expiresAtMs } = outcome.value;
    const invitation = { role, lane: given, expiresAtMs, before };
    const made = { code, invitation, forWhom: roleAndLane(live.index, role, given) };
    setAsking({ is: "made", made });
    announce(`Code ${spelled(code)}`, "polite");
  }
  if (asking.is === "made") {
    return (
      <Sheet title="Invitation" onClose={onClose}>
        <InvitationOut
          live={live}
          made={asking.made}
          onAgain={() => void invite()}
          onOther={() => setAsking({ is: "none" })}
        />
      </Sheet>
    );
  }
  return (
    <Sheet title="Invite a device" onClose={onClose}>
      <ChoiceField
        label="Role"
        value={role}
        choices={invitedRoles.map((one) => ({ value: one.role, label: one.label }))}
        onValue={(value) => setRole(value as Role)}
      />
      {role === "observer" || role === "director" ? null : (
        <LaneField live={live} role={role} lane={lane} empty={props.empty} onLane={setLane} />
      )}
      {asking.is === "refused" ? (
        <Notice title={asking.refusal.says} tone="against" role="alert">
          <p>{asking.refusal.mend}</p>
        </Notice>
      ) : null}
      <div class="taps">
        <TapButton tone="main" wide whyNot={whyNot} onTap={() => void invite()}>
          {asking.is === "asking" ? "Asking the hub…" : (whyNot ?? "Make a code")}
        </TapButton>
      </div>
    </Sheet>
  );
}

type LaneFieldProps = {
  readonly live: LiveRun;
  readonly role: Role;
  readonly lane: PositionId | null;
  readonly empty: ReadonlySet<PositionId>;
  readonly onLane: (lane: PositionId | null) => void;
};

function LaneField({ live, role, lane, empty, onLane }: LaneFieldProps) {
  const none = { value: "", label: role === "crew" ? "Choose a lane" : "No lane of its own" };
  const lanes = live.procedure.positions.map(({ id, name }) => ({
    value: id as string,
    label: empty.has(id) ? `${name} (nobody yet)` : name,
  }));
  return (
    <ChoiceField
      label="Lane"
      value={lane ?? ""}
      choices={[none, ...lanes]}
      onValue={(value) => onLane(value === "" ? null : (value as PositionId))}
    />
  );
}

function laneFor(role: Role, lane: PositionId | null): PositionId | null {
  return role === "observer" || role === "director" ? null : lane;
}

function whyNotInvite(role: Role, lane: PositionId | null, isOpen: boolean): string | null {
  if (role === "crew" && lane === null) return "Choose a lane first";
  return isOpen ? null : "Opening what is on this device…";
}

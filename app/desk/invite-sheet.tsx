// Inviting a device: its role, its lane, and then a code to be typed there.

import { useState } from "preact/hooks";
import type { PositionId } from "../../machines/procedure/ids.ts";
import type { Role } from "../../machines/record/entry.ts";
import { roleWords } from "../../machines/views/words.ts";
import type { LiveRun, TapRefusal } from "../live/live-run.ts";
import { useShelf } from "../live/use-shelf.ts";
import { timeOfDay } from "../parts/age.tsx";
import { announce } from "../parts/announce.tsx";
import { ChoiceField } from "../parts/field.tsx";
import { Notice } from "../parts/notice.tsx";
import { Sheet } from "../parts/sheet.tsx";
import { TapButton } from "../parts/tap-button.tsx";
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

type Answer =
  | { readonly is: "none" | "asking" }
  | {
      readonly is: "code";
      readonly code: string;
      readonly expiresAtMs: number;
      readonly forWhom: string;
    }
  | { readonly is: "refused"; readonly refusal: TapRefusal };

/** Asks for role and lane, then shows the code large. */
export function InviteSheet(props: InviteSheetProps) {
  const { live, onClose } = props;
  const opening = useShelf();
  const [role, setRole] = useState(props.role);
  const [lane, setLane] = useState(props.lane);
  const [answer, setAnswer] = useState<Answer>({ is: "none" });
  const whyNot = whyNotInvite(role, lane, opening.state === "open");

  async function invite(): Promise<void> {
    if (opening.state !== "open") return;
    setAnswer({ is: "asking" });
    const outcome = await opening.shelf.invite(live.run, role, laneFor(role, lane));
    if (outcome.refusal !== null) {
      setAnswer({ is: "refused", refusal: outcome.refusal });
      return;
    }
    const forWhom = forWhomWords(live, role, laneFor(role, lane));
    setAnswer({ is: "code", ...outcome.value, forWhom });
    announce(`Code ${outcome.value.code.split("").join(" ")}`, "polite");
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
      <div class="taps">
        <TapButton tone="main" wide whyNot={whyNot} onTap={() => void invite()}>
          {answer.is === "asking" ? "Asking the hub…" : (whyNot ?? "Make a code")}
        </TapButton>
      </div>
      <AnswerWords answer={answer} />
    </Sheet>
  );
}

function AnswerWords({ answer }: { readonly answer: Answer }) {
  if (answer.is === "refused") {
    return (
      <Notice title={answer.refusal.says} tone="against" role="alert">
        <p>{answer.refusal.mend}</p>
      </Notice>
    );
  }
  if (answer.is !== "code") return null;
  return (
    <div class="invite__code landing">
      <p>Code for {answer.forWhom}, good once:</p>
      <p class="invite__letters">{answer.code}</p>
      <p>
        On the other device open <strong>{location.origin}</strong> and type the code under “Join by
        code”. It lapses at {timeOfDay(answer.expiresAtMs)}.
      </p>
    </div>
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

function forWhomWords(live: LiveRun, role: Role, lane: PositionId | null): string {
  const name = lane === null ? "" : `, ${live.index.positionsById.get(lane)?.name ?? lane}`;
  return `${roleWords[role]}${name}`;
}

// A case typed on the spot: name, card, who is shown it, whom it holds.

import { useState } from "preact/hooks";
import type { InjectId, PositionId } from "../../machines/procedure/ids.ts";
import type { HoldScope } from "../../machines/record/entry.ts";
import type { LiveRun } from "../live/live-run.ts";
import { ChoiceField, TextField } from "../parts/field.tsx";
import { HoldToDoButton } from "../parts/hold-to-do-button.tsx";
import { Sheet } from "../parts/sheet.tsx";
import { TapButton } from "../parts/tap-button.tsx";
import { fireInject } from "./fire-inject.ts";

/** What the sheet needs. */
export type FreeInjectSheetProps = { readonly live: LiveRun; readonly onClose: () => void };

/** Asks for the case and puts it live by press-and-hold. */
export function FreeInjectSheet({ live, onClose }: FreeInjectSheetProps) {
  const [name, setName] = useState("");
  const [card, setCard] = useState("");
  const [shownTo, setShownTo] = useState<readonly PositionId[]>([]);
  const [held, setHeld] = useState("nobody");
  const whyNot = whyNotFire(card, shownTo);
  async function fire(): Promise<void> {
    const isKept = await fireInject(live, {
      inject: `typed-${crypto.randomUUID()}` as InjectId,
      name: name.trim() === "" ? "Case typed on the spot" : name.trim(),
      card: card.trim(),
      shownTo,
      holds: scopeOf(held),
    });
    if (isKept) onClose();
  }
  return (
    <Sheet title="A case on the spot" onClose={onClose}>
      <TextField label="Name, for the debrief" value={name} onValue={setName} />
      <TextField
        label="Card: what they are shown"
        lines="many"
        value={card}
        onValue={setCard}
        hint="Stands under the word SIMULATED on their screens."
      />
      <Shown live={live} shownTo={shownTo} onShown={setShownTo} />
      <ChoiceField
        label="Puts on hold"
        value={held}
        choices={[
          { value: "nobody", label: "Nobody" },
          { value: "everyone", label: "Everyone" },
          ...live.procedure.positions.map((one) => ({ value: `lane ${one.id}`, label: one.name })),
        ]}
        onValue={setHeld}
      />
      <div class="taps">
        {whyNot === null ? (
          <HoldToDoButton tone="main" wide onDone={() => void fire()}>
            Put live
          </HoldToDoButton>
        ) : (
          <TapButton tone="main" wide whyNot={whyNot} onTap={() => {}}>
            {whyNot}
          </TapButton>
        )}
      </div>
    </Sheet>
  );
}

type ShownProps = {
  readonly live: LiveRun;
  readonly shownTo: readonly PositionId[];
  readonly onShown: (shownTo: readonly PositionId[]) => void;
};

function Shown({ live, shownTo, onShown }: ShownProps) {
  return (
    <div class="taps" role="group" aria-label="Shown to">
      {live.procedure.positions.map(({ id, name }) => {
        const isShown = shownTo.includes(id);
        return (
          <TapButton
            key={id}
            tone={isShown ? "chosen" : "plain"}
            pressed={isShown}
            onTap={() => onShown(isShown ? shownTo.filter((one) => one !== id) : [...shownTo, id])}
          >
            {isShown ? `Shown to ${name}` : `Not to ${name}`}
          </TapButton>
        );
      })}
    </div>
  );
}

function whyNotFire(card: string, shownTo: readonly PositionId[]): string | null {
  if (card.trim() === "") return "Type the card first";
  return shownTo.length === 0 ? "Say who is shown it first" : null;
}

function scopeOf(held: string): HoldScope | null {
  if (held === "nobody") return null;
  if (held === "everyone") return { covers: "everyone" };
  return { covers: "lane", lane: held.slice("lane ".length) as PositionId };
}

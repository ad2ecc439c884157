// What those who follow may tell: where an item is, that a hold is wanted, a note.

import { useState } from "preact/hooks";
import type { ItemId, PositionId, SiteId } from "../../machines/procedure/ids.ts";
import type { Place } from "../../machines/procedure/place.ts";
import type { ProcedureIndex } from "../../machines/procedure/procedure-index.ts";
import { mayWrite } from "../../machines/record/rights.ts";
import type { LiveRun } from "../live/live-run.ts";
import { ChoiceField } from "../parts/field.tsx";
import { NoteDialog } from "../parts/note-dialog.tsx";
import { ReasonDialog } from "../parts/reason-dialog.tsx";
import { Sheet } from "../parts/sheet.tsx";
import { TapButton } from "../parts/tap-button.tsx";
import type { Tap } from "../parts/use-tap.ts";

/** What the row needs. */
export type FollowTellProps = { readonly live: LiveRun; readonly tap: Tap };

type Asked = "item" | "hold" | "note" | null;

/** Buttons for a sighting, a request and a note. */
export function FollowTell({ live, tap }: FollowTellProps) {
  const [asked, setAsked] = useState<Asked>(null);
  const close = () => setAsked(null);
  const { items } = live.procedure;
  return (
    <section class="follow__part" aria-labelledby="follow-tell">
      <h3 id="follow-tell">Tell the others</h3>
      <div class="taps">
        {items.length > 0 && maySight(live) ? (
          <TapButton onTap={() => setAsked("item")}>Item seen…</TapButton>
        ) : null}
        <TapButton onTap={() => setAsked("hold")}>Ask for a hold…</TapButton>
        <TapButton onTap={() => setAsked("note")}>Note…</TapButton>
      </div>
      {asked === "item" ? <SightingSheet live={live} tap={tap} onClose={close} /> : null}
      {asked === "hold" ? (
        <ReasonDialog
          title="Ask for a hold"
          says="The director and the reader see it and decide. For a real emergency call the real stop."
          suggestions={["Hazard seen", "Item astray", "Not ready"]}
          act="Ask"
          onReason={(reason) => {
            close();
            tap({ kind: "hold.requested", reason }, live.me.lane);
          }}
          onClose={close}
        />
      ) : null}
      {asked === "note" ? (
        <NoteDialog step={null} as={live.me.lane} tap={tap} onClose={close} />
      ) : null}
    </section>
  );
}

// Whether the record would take a sighting from this device: asked of the record's own rule.
function maySight(live: LiveRun): boolean {
  const [item] = live.procedure.items;
  if (item === undefined) return false;
  const body = { kind: "item.sighted", item: item.id, at: item.startsAt } as const;
  return mayWrite(live.me, live.me.lane, body, live.index);
}

type SightingSheetProps = FollowTellProps & { readonly onClose: () => void };

function SightingSheet({ live, tap, onClose }: SightingSheetProps) {
  const { index } = live;
  const [item, setItem] = useState(live.procedure.items[0]?.id ?? ("" as ItemId));
  const [place, setPlace] = useState(`site ${live.procedure.sites[0]?.id ?? ""}`);
  return (
    <Sheet title="Item seen" onClose={onClose}>
      <ChoiceField
        label="Item"
        value={item}
        choices={live.procedure.items.map(({ id, name }) => ({ value: id, label: name }))}
        onValue={(value) => setItem(value as ItemId)}
      />
      <ChoiceField label="Where" value={place} choices={placesOf(index, item)} onValue={setPlace} />
      <div class="taps">
        <TapButton
          tone="main"
          wide
          onTap={() => {
            onClose();
            tap({ kind: "item.sighted", item, at: placeOf(place) }, live.me.lane);
          }}
        >
          Seen there
        </TapButton>
      </div>
    </Sheet>
  );
}

function placesOf(index: ProcedureIndex, item: ItemId) {
  const { sites, positions, items } = index.procedure;
  return [
    ...sites.map(({ id, name }) => ({ value: `site ${id}`, label: `at ${name}` })),
    ...positions.map(({ id, name }) => ({ value: `position ${id}`, label: `with ${name}` })),
    ...items
      .filter((other) => other.sort === "bag" && other.id !== item)
      .map(({ id, name }) => ({ value: `item ${id}`, label: `in ${name}` })),
  ];
}

function placeOf(text: string): Place {
  const [sort = "", ...rest] = text.split(" ");
  const id = rest.join(" ");
  if (sort === "item") return { item: id as ItemId };
  return sort === "position" ? { position: id as PositionId } : { site: id as SiteId };
}

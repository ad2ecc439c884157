// Items: those that are out of their starting place first, all on demand.

import { useState } from "preact/hooks";
import type { InventoryLine } from "../../machines/views/inventory-view.ts";
import { ageWords } from "../parts/age.tsx";
import { TapButton } from "../parts/tap-button.tsx";

/** What the list shows. */
export type InventoryProps = {
  readonly items: readonly InventoryLine[];
  readonly nowMs: number;
};

/** Items out, and where. */
export function Inventory({ items, nowMs }: InventoryProps) {
  const [all, setAll] = useState(false);
  const out = items.filter((item) => item.isMoved || item.sighting !== null);
  const shown = all ? items : out;
  return (
    <section class="follow__part" aria-labelledby="follow-items">
      <h3 id="follow-items">
        Items out: {out.length} of {items.length}
      </h3>
      {shown.length === 0 ? <p class="soft">Every item is where it started.</p> : null}
      <ul class="inventory">
        {shown.map((item) => (
          <li key={item.item} data-item={item.item}>
            <strong>{item.name}</strong> {item.where}
            {item.isAtItsEnd ? <span class="soft"> · may stay there</span> : " · must move on"}
            {item.sighting === null ? null : (
              <p class="inventory__seen">
                Seen {item.sighting.where}, {ageWords(item.sighting.atMs, nowMs)}. The record has it{" "}
                {item.where}.
              </p>
            )}
          </li>
        ))}
      </ul>
      <div class="taps">
        <TapButton pressed={all} tone={all ? "chosen" : "plain"} onTap={() => setAll(!all)}>
          {all ? "Show only items out" : "Show all items"}
        </TapButton>
      </div>
    </section>
  );
}

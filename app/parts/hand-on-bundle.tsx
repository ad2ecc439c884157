// Handing the record on as a file, and reading one into this run: the two buttons and their sheets.

import { useState } from "preact/hooks";
import type { LiveRun } from "../live/live-run.ts";
import { HandOnSheet } from "./hand-on-sheet.tsx";
import { ReadBundleSheet } from "./read-bundle-sheet.tsx";
import { TapButton } from "./tap-button.tsx";

/** A run's ways by hand, out and in. */
export function HandOnBundle({ live }: { readonly live: LiveRun }) {
  const [open, setOpen] = useState<"none" | "hand-on" | "read">("none");
  const close = () => setOpen("none");
  return (
    <div class="taps" role="group" aria-label="By hand, without a network">
      <TapButton onTap={() => setOpen("hand-on")}>Hand on a bundle…</TapButton>
      <TapButton onTap={() => setOpen("read")}>Read a bundle into this run…</TapButton>
      {open === "hand-on" ? <HandOnSheet live={live} onClose={close} /> : null}
      {open === "read" ? <ReadBundleSheet into={live.run} onClose={close} /> : null}
    </div>
  );
}

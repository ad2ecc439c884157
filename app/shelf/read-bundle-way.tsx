// The shelf's way in for a bundle: a button, or a file that was opened outside the app.

import { useState } from "preact/hooks";
import { launchedFile } from "../live/read-bundle-launched.ts";
import { ReadBundleSheet } from "../parts/read-bundle-sheet.tsx";
import { TapButton } from "../parts/tap-button.tsx";

/** The button and its sheet. */
export function ReadBundleWay() {
  const [isPicking, setPicking] = useState(false);
  const launched = launchedFile.value;
  const close = () => {
    launchedFile.value = null;
    setPicking(false);
  };
  return (
    <>
      <TapButton onTap={() => setPicking(true)}>Read a bundle…</TapButton>
      {isPicking || launched !== null ? (
        <ReadBundleSheet into={null} file={launched} onClose={close} />
      ) : null}
    </>
  );
}

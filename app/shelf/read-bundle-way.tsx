// The shelf's way in for a bundle: a button, or a file that was opened outside the app.

import { useEffect, useState } from "preact/hooks";
import { launchedFile } from "../live/read-bundle-launched.ts";
import { ReadBundleSheet } from "../parts/read-bundle-sheet.tsx";
import { TapButton } from "../parts/tap-button.tsx";

/** The button and its sheet. */
export function ReadBundleWay() {
  const [isOpen, setOpen] = useState(false);
  const [file, setFile] = useState<File | null>(null);
  const launched = launchedFile.value;
  useEffect(() => {
    if (launched === null) return;
    launchedFile.value = null;
    setFile(launched);
    setOpen(true);
  }, [launched]);
  const close = () => {
    setFile(null);
    setOpen(false);
  };
  return (
    <>
      <TapButton onTap={() => setOpen(true)}>Read a bundle…</TapButton>
      {isOpen ? <ReadBundleSheet into={null} file={file} onClose={close} /> : null}
    </>
  );
}

// Reading a bundle: picking the file, seeing what is in it, comparing letters, taking it.

import { useEffect, useState } from "preact/hooks";
import type { RunId } from "../../machines/record/ids.ts";
import type { TapRefusal } from "../live/live-run.ts";
import { liveStore } from "../live/live-store.ts";
import { readBundleFile } from "../live/read-bundle.ts";
import type { BundleOffer, TakenBundle } from "../live/read-bundle.ts";
import { BundleOffered } from "./bundle-offered.tsx";
import { BundleTaken } from "./bundle-taken.tsx";
import "./bundle.css";
import { Notice } from "./notice.tsx";
import { Sheet } from "./sheet.tsx";

/** What the sheet starts with. */
export type ReadBundleSheetProps = {
  /** The run that the bundle must be of; null: of any. */
  readonly into: RunId | null;
  /** A file that was opened already; absent: it is picked here. */
  readonly file?: File | null;
  readonly onClose: () => void;
};

type Reading =
  | { readonly is: "none" | "reading" }
  | { readonly is: "refused"; readonly fileName: string; readonly refusal: TapRefusal }
  | { readonly is: "offered"; readonly offer: BundleOffer }
  | { readonly is: "taken"; readonly taken: TakenBundle };

/** The sheet, from the file to what came of it. */
export function ReadBundleSheet({ into, file, onClose }: ReadBundleSheetProps) {
  const [reading, setReading] = useState<Reading>({ is: "none" });
  const read = async (picked: File) => {
    setReading({ is: "reading" });
    const { value: offer, refusal } = await readBundleFile(liveStore(), picked, into);
    if (refusal === null) setReading({ is: "offered", offer });
    else setReading({ is: "refused", fileName: picked.name, refusal });
  };
  useEffect(() => {
    if (file !== undefined && file !== null) void read(file);
  }, [file]);
  const close = () => {
    // A screen of the run that is open still has the role of before.
    if (into !== null && reading.is === "taken" && reading.taken.isOtherRole) location.reload();
    else onClose();
  };
  return (
    <Sheet title={into === null ? "Read a bundle" : "Read a bundle into this run"} onClose={close}>
      {reading.is === "offered" ? (
        <BundleOffered
          offer={reading.offer}
          onTaken={(taken) => setReading({ is: "taken", taken })}
          onRefused={(refusal) => setReading({ is: "refused", fileName: "", refusal })}
        />
      ) : null}
      {reading.is === "taken" ? (
        <BundleTaken taken={reading.taken} isInRun={into !== null} onClose={close} />
      ) : null}
      {reading.is === "refused" ? <Refused {...reading} /> : null}
      {reading.is === "reading" ? <p role="status">Reading the file…</p> : null}
      {reading.is === "none" || reading.is === "refused" ? (
        <FileWay onFile={(picked) => void read(picked)} />
      ) : null}
    </Sheet>
  );
}

type FileWayProps = { readonly onFile: (file: File) => void };

// No `accept`: some platforms would then let nobody pick a file whose ending they do not know.
function FileWay({ onFile }: FileWayProps) {
  const [isOver, setOver] = useState(false);
  const give = (files: FileList | null | undefined) => {
    const [file] = files ?? [];
    if (file !== undefined) onFile(file);
  };
  return (
    <div
      class={`bundle-drop${isOver ? " bundle-drop--over" : ""}`}
      onDragOver={(event) => {
        event.preventDefault();
        setOver(true);
      }}
      onDragLeave={() => setOver(false)}
      onDrop={(event) => {
        event.preventDefault();
        setOver(false);
        give(event.dataTransfer?.files);
      }}
    >
      <label class="tap tap--main bundle-pick">
        Choose a bundle file
        <input
          type="file"
          onChange={(event) => {
            const input = event.currentTarget;
            give(input.files);
            input.value = "";
          }}
        />
      </label>
      <p class="small soft">
        Its name ends in “.lanehold”. It can also be dropped here. Nothing is kept before you say
        so.
      </p>
    </div>
  );
}

type RefusedProps = { readonly fileName: string; readonly refusal: TapRefusal };

function Refused({ fileName, refusal }: RefusedProps) {
  return (
    <Notice title={refusal.says} tone="against" role="alert">
      {fileName === "" ? null : <p class="bundle__name">{fileName}</p>}
      <p>{refusal.mend}</p>
      <p>Nothing on this device has changed.</p>
    </Notice>
  );
}

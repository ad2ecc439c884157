// What came of taking a bundle.

import { byBundlesOnlyWords, takenWords } from "../../machines/views/bundle-words.ts";
import type { TakenBundle } from "../live/read-bundle.ts";
import { Notice } from "./notice.tsx";
import { TapButton } from "./tap-button.tsx";

/** What came of it, and where it was read. */
export type BundleTakenProps = {
  readonly taken: TakenBundle;
  /** Read on a screen of the run itself. */
  readonly isInRun: boolean;
  readonly onClose: () => void;
};

/** The counts in words, and the way on. */
export function BundleTaken({ taken, isInRun, onClose }: BundleTakenProps) {
  const [counts, ...more] = takenWords(taken);
  return (
    <>
      <Notice title={`Taken: ${counts}`} tone="good" role="status">
        {more.map((words) => (
          <p key={words}>{words}</p>
        ))}
        {taken.byBundlesOnly ? <p>{byBundlesOnlyWords}</p> : null}
        {isInRun && taken.isOtherRole ? (
          <p>This device has another role in the run by now; its screens open anew.</p>
        ) : null}
      </Notice>
      <div class="taps">
        {isInRun ? (
          <TapButton tone="main" wide onTap={onClose}>
            Go on
          </TapButton>
        ) : (
          <a class="tap tap--main tap--wide" href={`#/run/${encodeURIComponent(taken.run)}`}>
            Go to the run
          </a>
        )}
      </div>
    </>
  );
}

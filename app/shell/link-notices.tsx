// What the person must know of how this tablet stands with the hub: what it refused, what was written again.

import { hubRefusalWords } from "../../machines/views/hub-refusal-words.ts";
import { writtenAgainWords } from "../../machines/views/written-again-words.ts";
import type { LiveRun } from "../live/live-run.ts";
import { Notice } from "../parts/notice.tsx";
import { TapButton } from "../parts/tap-button.tsx";

/** Refusals pass by themselves; these are not worth a word while they may. */
const passing: ReadonlySet<string> = new Set(["rate-limited", "gap"]);

/** The notices above a run's screen; nothing while all is well. */
export function LinkNotices({ live }: { readonly live: LiveRun }) {
  const { refused, writtenAgain } = live.link.value;
  const words = refused === null || passing.has(refused.code) ? null : hubRefusalWords(refused);
  const againKey = `written-again ${writtenAgain}`;
  const isAgainNew = writtenAgain > 0 && !live.setAside.seen.value.has(againKey);
  if (words === null && !isAgainNew) return null;
  return (
    <div class="link-notices">
      {words === null ? null : (
        <Notice title={words.says} tone="against" role="status">
          <p>{words.mend}</p>
        </Notice>
      )}
      {isAgainNew ? (
        <Notice title={writtenAgainWords(writtenAgain)} role="status">
          <p>
            Nothing that was entered here is lost. Look at the last steps of your lane before you go
            on: others may have come to know them under other numbers.
          </p>
          <div class="taps">
            <TapButton onTap={() => void live.setAside.markSeen([againKey])}>Understood</TapButton>
          </div>
        </Notice>
      ) : null}
    </div>
  );
}

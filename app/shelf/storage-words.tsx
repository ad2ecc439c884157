// How much is stored here, and whether the browser may take it back.

import { storageWords } from "../../machines/views/storage-words.ts";
import { checkLetters } from "../../workers/keys/check-letters.ts";
import type { LiveShelf } from "../live/live-shelf.ts";
import { Letters } from "../parts/letters.tsx";
import { Notice } from "../parts/notice.tsx";
import { TapButton } from "../parts/tap-button.tsx";

/** The room on this device, in words. */
export function StorageWords({ shelf }: { readonly shelf: LiveShelf }) {
  const room = shelf.storageState.value;
  return (
    <section aria-labelledby="storage-title">
      <h2 id="storage-title">What is stored here</h2>
      <p>{storageWords(room)}</p>
      {room.persisted === true ? (
        <p>The browser keeps it until a person deletes it.</p>
      ) : (
        <Notice title="The browser may delete it when it runs short of room.">
          <p>
            Ask it to keep everything. Some browsers keep only what is added to the home screen.
          </p>
          <div class="taps">
            <TapButton onTap={() => void shelf.askToKeep()}>Ask the browser to keep it</TapButton>
          </div>
        </Notice>
      )}
      <p>
        This device goes by “{shelf.deviceName.value}”; its check letters are{" "}
        <Letters look="beside" text={checkLetters(shelf.device)} />
      </p>
    </section>
  );
}

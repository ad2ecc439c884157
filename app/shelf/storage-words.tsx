// How much is stored here, and whether the browser may take it back.

import type { LiveShelf } from "../live/live-shelf.ts";
import { Notice } from "../parts/notice.tsx";
import { TapButton } from "../parts/tap-button.tsx";

/** The room on this device, in words. */
export function StorageWords({ shelf }: { readonly shelf: LiveShelf }) {
  const room = shelf.storageState.value;
  return (
    <section aria-labelledby="storage-title">
      <h2 id="storage-title">What is stored here</h2>
      <p>{usedWords(room.usedBytes, room.quotaBytes)}</p>
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
      <p class="small soft">This device goes by “{shelf.deviceName.value}”.</p>
    </section>
  );
}

function usedWords(used: number | null, quota: number | null): string {
  if (used === null) return "The browser does not say how much is used.";
  const part = `${megabytes(used)} used`;
  return quota === null ? `${part}.` : `${part} of ${megabytes(quota)} that the browser allows.`;
}

function megabytes(bytes: number): string {
  const megabytesUsed = bytes / 1_000_000;
  if (megabytesUsed < 10) return `${megabytesUsed.toFixed(1)} MB`;
  if (megabytesUsed < 1000) return `${Math.round(megabytesUsed)} MB`;
  return `${(megabytesUsed / 1000).toFixed(1)} GB`;
}

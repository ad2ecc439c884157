// Whether this browser is fit to be a tablet of a run: can it keep a key, will it keep the record, is there room.
//
// [readiness 1] Keeping a key is tried, not asked for; what the browser does not tell is said to be unknown.

import { useEffect, useState } from "preact/hooks";
import { storageWords } from "../../machines/views/storage-words.ts";
import { checkLetters } from "../../workers/keys/check-letters.ts";
import { probeKey } from "../../workers/keys/probe-key.ts";
import type { KeyProbe } from "../../workers/keys/probe-key.ts";
import type { LiveShelf } from "../live/live-shelf.ts";
import { Letters } from "../parts/letters.tsx";
import { Notice } from "../parts/notice.tsx";
import { TapButton } from "../parts/tap-button.tsx";

/** The part of the page about the app that tells how this browser fares; `shelf` null: it did not open. */
export function Readiness({ shelf }: { readonly shelf: LiveShelf | null }) {
  const probe = useKeyProbe();
  return (
    <section class="paper about__section" aria-labelledby="about-ready">
      <h2 id="about-ready">Whether this browser is ready</h2>
      <KeyWords probe={probe} />
      {shelf === null ? null : <RoomWords shelf={shelf} />}
    </section>
  );
}

function RoomWords({ shelf }: { readonly shelf: LiveShelf }) {
  const room = shelf.storageState.value;
  return (
    <>
      <p>{storageWords(room)}</p>
      {room.persisted === true ? (
        <p>✓ The browser keeps it until a person deletes it.</p>
      ) : (
        <Notice title="The browser may delete it when it runs short of room.">
          <div class="taps">
            <TapButton onTap={() => void shelf.askToKeep()}>Ask the browser to keep it</TapButton>
          </div>
        </Notice>
      )}
      <p>
        This device goes by “{shelf.deviceName.value}”; its check letters are{" "}
        <Letters look="beside" text={checkLetters(shelf.device)} />
      </p>
    </>
  );
}

function KeyWords({ probe }: { readonly probe: KeyProbe | null }) {
  if (probe === null) return <p role="status">Trying whether it keeps a key…</p>;
  if (probe.keeps) return <p>✓ It makes a key and keeps it; tried just now.</p>;
  return (
    <Notice title={probe.says} tone="against" role="alert">
      <p>{probe.mend} Without a key this browser cannot take part in a run.</p>
    </Notice>
  );
}

function useKeyProbe(): KeyProbe | null {
  const [probe, setProbe] = useState<KeyProbe | null>(null);
  useEffect(() => {
    let gone = false;
    const look = async (): Promise<void> => {
      const found = await probeKey(globalThis.indexedDB);
      if (!gone) setProbe(found);
    };
    void look();
    return () => {
      gone = true;
    };
  }, []);
  return probe;
}

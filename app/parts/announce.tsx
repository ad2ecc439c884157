// What a screen reader says by itself: politely, or at once.

import { signal } from "@preact/signals";

/** `polite` waits until the reader has finished; `assertive` interrupts: a hold, a real stop. */
export type Urgency = "polite" | "assertive";

type Said = { readonly text: string; readonly count: number };

const politely = signal<Said>({ text: "", count: 0 });
const assertively = signal<Said>({ text: "", count: 0 });

/** Has a text said. The same text twice is said twice. */
export function announce(text: string, urgency: Urgency): void {
  const region = urgency === "polite" ? politely : assertively;
  region.value = { text, count: region.value.count + 1 };
}

/** The two live regions; stands once in the page. */
export function Announcer() {
  return (
    <>
      <div class="unseen" role="status" aria-live="polite">
        <span key={politely.value.count}>{politely.value.text}</span>
      </div>
      <div class="unseen" role="alert" aria-live="assertive">
        <span key={assertively.value.count}>{assertively.value.text}</span>
      </div>
    </>
  );
}

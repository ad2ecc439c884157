// What the hub refused, in words for the person who holds the tablet.
//
// [hub-refusal-words 1] Every refusal has words; one that is not known here keeps the hub's own.
// [hub-refusal-words 2] Where nothing is lost, the words say so.

/** A sentence that says what is so, and one that says what to do. */
export type RefusalWords = { readonly says: string; readonly mend: string };

/** The words for what the hub refused in this run. Errors: none. */
export function hubRefusalWords(refused: {
  readonly code: string;
  readonly says: string;
}): RefusalWords {
  return wordsByCode[refused.code] ?? { says: refused.says, mend: kept };
}

/** Whether a refusal says that this device was struck off. */
export function isStruckOffRefusal(code: string): boolean {
  return code === struckOffCode;
}

const struckOffCode = "struck-off";
const kept = "What you enter stays on this tablet. Tell the director.";
const copied = "Two tablets may have this one’s key, or it was put back to an older copy. " + kept;

const wordsByCode: Readonly<Record<string, RefusalWords>> = {
  [struckOffCode]: {
    says: "A director has struck this tablet off.",
    mend: "What it wrote before stays in the record. What it writes now is kept here only.",
  },
  fork: {
    says: "The hub has another entry by the same number as one of this tablet.",
    mend: copied,
  },
  chain: { says: "The hub has other entries of this tablet than this tablet has.", mend: copied },
  signature: {
    says: "The hub does not take this tablet’s signature.",
    mend: "Bring the app up to date, then join again by a new code. " + kept,
  },
  gap: {
    says: "The hub lacks earlier entries of this tablet.",
    mend: "They are sent again by themselves. " + kept,
  },
  "token-wrong": {
    says: "The hub does not know this tablet any more.",
    mend: "Join again by a new code; everything that was entered here is kept and goes out then.",
  },
  "token-missing": {
    says: "The hub does not know this tablet any more.",
    mend: "Join again by a new code; everything that was entered here is kept and goes out then.",
  },
  "run-unknown": {
    says: "The hub does not know this run.",
    mend: "The tablet that opened the run brings it to the hub when it is in reach. " + kept,
  },
  "rate-limited": {
    says: "The hub is busy with this tablet.",
    mend: "It goes on by itself in a moment. Nothing is lost.",
  },
  "protocol-version": {
    says: "This app and the hub are of different versions.",
    mend: "Reload the app when the run allows it. What you enter stays here until then.",
  },
  "storage-failed": {
    says: "The hub could not write to its disk.",
    mend: "Tell whoever runs the hub. What you enter stays here and goes out again.",
  },
  "stand-in": {
    says: "This tablet sent something that only the hub may send.",
    mend: "Bring the app up to date. " + kept,
  },
};

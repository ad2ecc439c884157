// Words about bundles: what is in one, what came of reading one, and what its file is called.
//
// [bundle-words 1] A file's name has no sign that a file system or a shell takes otherwise: letters and
//   digits of any script, space, dot, hyphen and underscore.
// [bundle-words 2] What is left out of a bundle, and why, is said; so is what was set aside.

/** The ending of a bundle's file. */
const bundleFileEnding = ".lanehold";
const titleCharactersMax = 60;

/** What is in a bundle that was made. */
export type HandedCounts = { readonly entries: number; readonly leftOut: number };

/** What came of the entries of a bundle that was read. */
export type TakenCounts = {
  readonly added: number;
  /** Of which only a stand-in was here: they can be read from now on. */
  readonly replaced: number;
  readonly wereHere: number;
  readonly setAside: number;
};

/**
 * The name of a bundle's file: "Monday, pool 2026-11-25 15.09.lanehold".
 *
 * @param stamp day and time, of safe signs
 * Errors: none.
 */
export function bundleFileName(title: string, stamp: string): string {
  const safe = title
    .normalize("NFC")
    .replace(/[^\p{L}\p{M}\p{N} ._-]+/gu, " ")
    .replace(/\s+/g, " ")
    .slice(0, titleCharactersMax)
    .replace(/\p{Surrogate}/gu, "")
    .replace(/^[ ._-]+|[ ._-]+$/g, "");
  return `${safe === "" ? "Run" : safe} ${stamp}${bundleFileEnding}`;
}

/** What is in a bundle, in sentences. Errors: none. */
export function handedWords({ entries, leftOut }: HandedCounts): readonly string[] {
  const held = `${count(entries, "entry", "entries")} in it: everything this device holds`;
  if (leftOut === 0) return [`${held}.`];
  return [
    `${held} that is signed.`,
    `${count(leftOut, "entry is", "entries are")} left out: the devices that wrote them have not ` +
      "signed them yet. A device signs whenever it reaches the hub or hands on a bundle.",
  ];
}

/** What came of reading a bundle, in sentences. Errors: none. */
export function takenWords({ added, replaced, wereHere, setAside }: TakenCounts): string[] {
  const words = [`${added} new, ${wereHere} were here already, ${setAside} set aside.`];
  if (replaced > 0) {
    words.push(`${count(replaced, "entry", "entries")} can be read from now on, kept back before.`);
  }
  if (added + replaced + setAside === 0) words.push("Nothing on this device has changed.");
  if (setAside > 0) words.push("A director sees at the desk what was set aside, and why.");
  return words;
}

/** For a device that was let into a run by no hub. */
export const byBundlesOnlyWords =
  "This device hears of this run by bundles only: it has not joined it at a hub.";

function count(number: number, one: string, many: string): string {
  return `${number} ${number === 1 ? one : many}`;
}

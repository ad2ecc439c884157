// Handing a run on as a file, where there is no hub.
//
// [hand-on 1] The file's name tells the run and when it was made, in signs that every file system keeps.
// [hand-on 2] A file is shared by the platform's sheet where it can be; it can be saved in any case.

import type { RunId } from "../../machines/record/ids.ts";
import { bundleFileName } from "../../machines/views/bundle-words.ts";
import type { BundleReaders } from "../../machines/sync/bundle.ts";
import { makeBundle } from "../../workers/link/make-bundle.ts";
import { readRun } from "../../workers/store/read-run.ts";
import type { Outcome } from "./live-shelf.ts";
import type { LiveStore } from "./live-store.ts";
import { outcomeOf } from "./outcome-of.ts";

/** A file to be handed on. */
export type HandedBundle = {
  readonly file: File;
  readonly readers: BundleReaders;
  readonly entries: number;
  /** Entries that are held here but not signed by their device yet, so not in the file. */
  readonly leftOut: number;
};

/** What the platform's sheet made of a file. */
export type Shared = "shared" | "closed" | "failed";

/** The media type of a bundle's file: of our own, as the file's ending is. */
const bundleFileType = "application/x-lanehold";

/** Makes a run's bundle. Errors: none; what stood in the way is the refusal. */
export async function handOnBundle(
  store: LiveStore,
  run: RunId,
  readers: BundleReaders,
): Promise<Outcome<HandedBundle>> {
  return outcomeOf(async () => {
    const { database } = store;
    const wallMs = store.readWallMs();
    const { bytes, entries, leftOut } = await makeBundle(database, { run, readers, wallMs });
    const title = (await readRun(database, run))?.title ?? "";
    const name = bundleFileName(title, localStamp(wallMs));
    return { file: new File([bytes], name, { type: bundleFileType }), readers, entries, leftOut };
  });
}

/** Whether the platform has a sheet that takes such a file. Errors: none. */
export function canShare(file: File): boolean {
  try {
    return "canShare" in navigator && navigator.canShare({ files: [file] });
  } catch {
    return false;
  }
}

/** Hands the file to the platform's sheet. Errors: none; it can be saved then. */
export async function shareFile(file: File): Promise<Shared> {
  try {
    await navigator.share({ files: [file], title: file.name });
    return "shared";
  } catch (cause) {
    // Some platforms say that they can share any file, and then refuse an ending that they do not know.
    return cause instanceof DOMException && cause.name === "AbortError" ? "closed" : "failed";
  }
}

// "2026-11-25 15.09", by this device's own clock and zone; a colon may not stand in every file's name.
function localStamp(wallMs: number): string {
  const at = new Date(wallMs);
  const day = `${at.getFullYear()}-${two(at.getMonth() + 1)}-${two(at.getDate())}`;
  return `${day} ${two(at.getHours())}.${two(at.getMinutes())}`;
}

function two(part: number): string {
  return String(part).padStart(2, "0");
}

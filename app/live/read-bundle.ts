// Reading a bundle's file on this device, in two parts: looking into it, and taking it.
//
// [read-bundle 1] Looking into a file changes nothing; a file that is refused has changed nothing.
// [read-bundle 2] A run that this device does not know is taken only after a person has compared the
//   check letters of its root with the director's screen.
// [read-bundle 3] A device that is known at the hub brings there what it took.

import { assert } from "../../machines/base/assert.ts";
import { rootOfRun } from "../../machines/record/ids.ts";
import type { RunId } from "../../machines/record/ids.ts";
import type { BundleReaders } from "../../machines/sync/bundle.ts";
import type { TakenCounts } from "../../machines/views/bundle-words.ts";
import { checkLetters } from "../../workers/keys/check-letters.ts";
import { BundleRefusedError } from "../../workers/link/bundle-refused-error.ts";
import { bundleBytesMax, openBundle } from "../../workers/link/open-bundle.ts";
import type { OpenedBundle } from "../../workers/link/open-bundle.ts";
import { takeBundle } from "../../workers/link/take-bundle.ts";
import { readRun } from "../../workers/store/read-run.ts";
import type { Outcome } from "./live-shelf.ts";
import type { LiveStore } from "./live-store.ts";
import { closeLiveRun } from "./open-live-run.ts";
import { outcomeOf } from "./outcome-of.ts";
import { wakeSync } from "./wake-sync.ts";

/** A bundle that was looked into; nothing of it is kept yet. */
export type BundleOffer = {
  readonly run: RunId;
  readonly title: string;
  readonly makerName: string;
  /** The maker's clock, milliseconds since 1970. */
  readonly madeAtMs: number;
  readonly readers: BundleReaders;
  readonly entries: number;
  /** Check letters of the run's root, to be compared; null: this device knows the run. */
  readonly letters: string | null;
  /** Takes it into this device. */
  readonly take: () => Promise<Outcome<TakenBundle>>;
};

/** What taking a bundle came to. */
export type TakenBundle = TakenCounts & {
  readonly run: RunId;
  /** This device has not joined the run at a hub. */
  readonly byBundlesOnly: boolean;
  /** A screen of the run that is open must be opened anew: this device has another role by now. */
  readonly isOtherRole: boolean;
};

/**
 * Looks into a file.
 *
 * @param into the run that it must be of; null: of any
 * Errors: none; why it was refused is in the outcome.
 */
export async function readBundleFile(
  store: LiveStore,
  file: Blob,
  into: RunId | null,
): Promise<Outcome<BundleOffer>> {
  return outcomeOf(async () => {
    const opened = await openBundle(store.database, await bytesOf(file), into);
    return offerOf(store, opened);
  });
}

async function bytesOf(file: Blob): Promise<Uint8Array<ArrayBuffer>> {
  if (file.size > bundleBytesMax) throw new BundleRefusedError([tooLarge]);
  try {
    return new Uint8Array(await file.arrayBuffer());
  } catch (cause) {
    throw new BundleRefusedError([unreadable], { cause });
  }
}

async function offerOf(store: LiveStore, opened: OpenedBundle): Promise<BundleOffer> {
  const { content, segments, makerName } = opened;
  const { run, title, madeAtMs, readers } = content;
  const root = rootOfRun(run);
  assert(root !== null, "a run whose record opens it names its root");
  const isKnown = (await readRun(store.database, run)) !== undefined;
  const entries = segments.reduce((sum, segment) => sum + segment.entries.length, 0);
  return {
    run,
    title,
    makerName,
    madeAtMs,
    readers,
    entries,
    letters: isKnown ? null : checkLetters(root),
    take: () => outcomeOf(() => take(store, opened, entries)),
  };
}

async function take(store: LiveStore, opened: OpenedBundle, entries: number): Promise<TakenBundle> {
  const { database } = store;
  const { run } = opened.content;
  const before = await readRun(database, run);
  const { added, replaced, setAside } = await takeBundle(database, opened, store.readWallMs());
  const after = await readRun(database, run);
  assert(after !== undefined, "a run whose bundle was taken is on this device");
  const isOtherRole = before?.role !== after.role || before.lane !== after.lane;
  if (isOtherRole) closeLiveRun(run);
  if (after.token !== null) wakeSync(store, run);
  const wereHere = Math.max(0, entries - added - replaced - setAside);
  const byBundlesOnly = after.token === null;
  return { run, added, replaced, wereHere, setAside, byBundlesOnly, isOtherRole };
}

const tooLarge = {
  path: "",
  code: "too-large",
  says: `This file is larger than the ${bundleBytesMax / 1_048_576} MiB that a bundle may have.`,
  mend: "Pick a file that was made by “Hand on a bundle” on another device.",
};

const unreadable = {
  path: "",
  code: "unreadable",
  says: "The file could not be read.",
  mend: "Copy it onto this device, then pick it again.",
};

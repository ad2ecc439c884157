// Making a bundle of a run: the file by which a record goes on where there is no hub.
//
// [make-bundle 1] It holds every entry that is held here and that its own device has signed; own entries
//   are signed now.
// [make-bundle 2] One for everybody holds nothing of an inject before it is live, as a pull would not.

import { assert } from "../../machines/base/assert.ts";
import { canonicalJson } from "../../machines/base/canonical-json.ts";
import type { Entry } from "../../machines/record/entry.ts";
import type { RunId } from "../../machines/record/ids.ts";
import { bundleFormat, bundleVersion, sealText } from "../../machines/sync/bundle.ts";
import type { Bundle, BundleContent, BundleReaders } from "../../machines/sync/bundle.ts";
import { findHiddenEntries } from "../../machines/sync/hidden-entries.ts";
import { pushEntriesMax } from "../../machines/sync/push.ts";
import { hideEntries } from "../../machines/sync/redact-for-role.ts";
import { createSegment } from "../../machines/sync/segment.ts";
import type { Segment } from "../../machines/sync/segment.ts";
import type { SignedHead } from "../../machines/sync/signed-head.ts";
import { sha256Hex } from "../keys/sha-256.ts";
import { signHead } from "../keys/sign-head.ts";
import { signText } from "../keys/sign-text.ts";
import type { Database, Device, Head } from "../store/database.ts";
import { ProcedureMissingError } from "../store/procedure-missing-error.ts";
import { isInCharge } from "../store/read-rights.ts";
import { entriesAfter, headsOfRun, readRun, readStoredProcedure } from "../store/read-run.ts";
import { RunMissingError } from "../store/run-missing-error.ts";
import { signedHeadsAfter } from "../store/signed-heads.ts";
import { readDevice } from "../store/this-device.ts";
import { gzipText } from "./gzip.ts";

/** What is to be made. */
export type BundleWish = {
  readonly run: RunId;
  /** "directors": with everything of the injects; only a director's device can make it. */
  readonly readers: BundleReaders;
  /** This device's clock, milliseconds since 1970. */
  readonly wallMs: number;
};

/** A bundle's file and what is in it. */
export type MadeBundle = {
  readonly bytes: Uint8Array<ArrayBuffer>;
  readonly entries: number;
  /** Entries that are held here but not signed by their device yet, so not in the bundle. */
  readonly leftOut: number;
};

/**
 * Makes a bundle of a run.
 *
 * Errors: `RunMissingError`, `ProcedureMissingError`, `KeyFailedError`, Dexie's; an assertion if somebody
 *   who is no director wishes for one for directors.
 */
export async function makeBundle(database: Database, wish: BundleWish): Promise<MadeBundle> {
  const { run, readers, wallMs } = wish;
  const stored = await readRun(database, run);
  if (stored === undefined) throw new RunMissingError();
  const procedure = await readStoredProcedure(database, stored.procedure);
  if (procedure === undefined) throw new ProcedureMissingError();
  const device = await readDevice(database);
  const inCharge = await isInCharge(database, stored, device.device);
  assert(readers === "everybody" || inCharge, "only a director makes a bundle for directors");
  const script = readers === "directors" ? await database.injectScripts.get(run) : undefined;
  const gathered = await gatherSegments(database, run, device);
  const content: BundleContent = {
    format: bundleFormat,
    formatVersion: bundleVersion,
    run,
    title: stored.title,
    procedureIdentity: stored.procedure,
    readers,
    madeBy: device.device,
    madeAtMs: Math.max(0, Math.round(wallMs)),
    procedure,
    injectScript: script?.script ?? null,
    segments: readers === "everybody" ? hideInjects(gathered) : gathered.segments,
  };
  const digest = sha256Hex(canonicalJson(content));
  const signature = await signText(device.privateKey, sealText(run, device.device, digest));
  const bundle: Bundle = { content, seal: { digest, key: device.publicKey, signature } };
  const entries = gathered.entries.length;
  const bytes = await gzipText(canonicalJson(bundle));
  return { bytes, entries: entries - gathered.leftOut, leftOut: gathered.leftOut };
}

type Gathered = {
  readonly segments: readonly Segment[];
  /** Everything that is held of the run. */
  readonly entries: readonly Entry[];
  readonly leftOut: number;
};

async function gatherSegments(database: Database, run: RunId, device: Device): Promise<Gathered> {
  const segments: Segment[] = [];
  const entries: Entry[] = [];
  let leftOut = 0;
  for (const head of await headsOfRun(database, run)) {
    const chain = await entriesAfter(database, head, 0);
    const signed = await headsOfChain(database, device, head);
    const cut = cutAtHeads(chain, signed);
    segments.push(...cut);
    entries.push(...chain);
    leftOut += chain.length - (cut.at(-1)?.head.seq ?? 0);
  }
  return { segments, entries, leftOut };
}

async function headsOfChain(
  database: Database,
  device: Device,
  head: Head,
): Promise<readonly SignedHead[]> {
  if (head.device !== device.device) return signedHeadsAfter(database, head, 0);
  const { run, seq, digest } = head;
  return [await signHead(device, { run, seq, digest })];
}

// As few segments as there can be of at most `pushEntriesMax` entries each, so that whoever reads the
// bundle can hand them on to a hub; longer where nothing nearer was signed.
function cutAtHeads(chain: readonly Entry[], heads: readonly SignedHead[]): Segment[] {
  const segments: Segment[] = [];
  let afterSeq = 0;
  for (const [index, head] of heads.entries()) {
    const next = heads[index + 1];
    const isFarthest = next === undefined || next.seq - afterSeq > pushEntriesMax;
    if (!isFarthest || head.seq > chain.length) continue;
    segments.push(createSegment(chain.slice(afterSeq, head.seq), head));
    afterSeq = head.seq;
  }
  return segments;
}

function hideInjects({ segments, entries }: Gathered): readonly Segment[] {
  const hidden = findHiddenEntries(entries, sha256Hex);
  return segments.map((segment) => {
    const { head } = segment;
    const fromSeq = head.seq - segment.entries.bodies.length + 1;
    const within = (hidden.get(head.device) ?? []).filter(
      ({ seq }) => seq >= fromSeq && seq <= head.seq,
    );
    return within.length === 0 ? segment : hideEntries(segment, within);
  });
}

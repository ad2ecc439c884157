// Reading a bundle's file: checked whole before anything of it is stored.
//
// [open-bundle 1] A file that is cut, damaged, forged, of another form or foreign to the run is refused
//   with the reason, and nothing is changed.
// [open-bundle 2] A bundle is foreign if the device that made it has no place in the run's own record.
// [open-bundle 3] One for directors, which tells of the injects, is opened only where the record says that
//   this device is a director's.

import { canonicalJson } from "../../machines/base/canonical-json.ts";
import { parseJson } from "../../machines/base/parse-json.ts";
import type { Fault } from "../../machines/procedure/fault.ts";
import { procedureIdentity } from "../../machines/procedure/identity.ts";
import type { InjectScript } from "../../machines/procedure/inject-script.ts";
import type { Procedure } from "../../machines/procedure/procedure.ts";
import { readInjectScript } from "../../machines/procedure/read-inject-script.ts";
import { readProcedure } from "../../machines/procedure/read-procedure.ts";
import { admitDevices, authorAt } from "../../machines/record/admit-devices.ts";
import type { DeviceId, RunId } from "../../machines/record/ids.ts";
import { orderEntries } from "../../machines/record/order-entries.ts";
import { readBundle, sealText } from "../../machines/sync/bundle.ts";
import type { BundleContent } from "../../machines/sync/bundle.ts";
import type { ReadSegment } from "../../machines/sync/segment.ts";
import { deviceIdOfKey, pointOfKey } from "../keys/device-id.ts";
import { sha256Hex } from "../keys/sha-256.ts";
import { verifyText } from "../keys/verify-text.ts";
import type { Database } from "../store/database.ts";
import { entriesOfRun } from "../store/read-run.ts";
import { readDevice } from "../store/this-device.ts";
import { BundleRefusedError } from "./bundle-refused-error.ts";
import { checkSegments } from "./check-segments.ts";
import { gunzipText } from "./gzip.ts";

/** A bundle's file is at most so many bytes. */
export const bundleBytesMax = 64 * 1_048_576;
const unpackedBytesMax = 8 * bundleBytesMax;

/** A bundle that was read and is whole. */
export type OpenedBundle = {
  readonly content: BundleContent;
  readonly procedure: Procedure;
  readonly injectScript: InjectScript | null;
  /** Each with a good signature. */
  readonly segments: readonly ReadSegment[];
  /** The name of the device that made it; empty: it has none. */
  readonly makerName: string;
};

/**
 * Reads and verifies a bundle's file; stores nothing.
 *
 * @param into the run that it must be of; null: of any
 * Errors: `BundleRefusedError`, `KeyFailedError`, Dexie's.
 */
export async function openBundle(
  database: Database,
  bytes: Uint8Array<ArrayBuffer>,
  into: RunId | null,
): Promise<OpenedBundle> {
  const content = await readSealed(bytes);
  const { run } = content;
  if (into !== null && run !== into) throw refused("another-run", otherRun);
  const { segments, forged, faults } = await checkSegments(content.segments, run);
  if (faults.length > 0) throw new BundleRefusedError(faults);
  if (forged.length > 0) throw refused("segment-forged", forgedSegment);
  const { device } = await readDevice(database);
  const makerName = await judgeReaders(database, { content, segments }, device);
  return { content, segments, makerName, ...readDocuments(content) };
}

async function readSealed(bytes: Uint8Array<ArrayBuffer>): Promise<BundleContent> {
  const text = bytes.length > bundleBytesMax ? null : await gunzipText(bytes, unpackedBytesMax);
  if (text === null) throw refused("not-whole", notWhole);
  const { bundle, faults } = readBundle(parseJson(text).value, sha256Hex);
  if (bundle === null) throw new BundleRefusedError(faults);
  const { content, seal } = bundle;
  const isMaker = pointOfKey(seal.key) !== null && deviceIdOfKey(seal.key) === content.madeBy;
  const signed = sealText(content.run, content.madeBy, seal.digest);
  if (isMaker && (await verifyText(seal.key, signed, seal.signature))) return content;
  throw refused("seal-forged", forgedSeal);
}

// Who made it, and whether this device may read it, by what both know of the run. Returns the maker's name.
async function judgeReaders(
  database: Database,
  { content, segments }: Pick<OpenedBundle, "content" | "segments">,
  reader: DeviceId,
): Promise<string> {
  const held = await entriesOfRun(database, content.run);
  const { ordered } = orderEntries([...held, ...segments.flatMap(({ entries }) => entries)]);
  const admissions = admitDevices(ordered);
  const maker = admissions.membershipsByDevice.get(content.madeBy)?.at(-1);
  if (maker === undefined) throw refused("bundle-foreign", foreign);
  const { role } = authorAt(admissions, reader, ordered.length);
  if (content.readers === "directors" && role !== "director") {
    throw refused("bundle-for-directors", forDirectors);
  }
  return maker.name;
}

function readDocuments(content: BundleContent): Pick<OpenedBundle, "procedure" | "injectScript"> {
  const { procedure, faults } = readProcedure(canonicalJson(content.procedure));
  if (procedure === null) throw new BundleRefusedError(under("/content/procedure", faults));
  if (procedureIdentity(procedure, sha256Hex) !== content.procedureIdentity) {
    throw refused("another-procedure", otherProcedure);
  }
  if (content.injectScript === null) return { procedure, injectScript: null };
  const reading = readInjectScript(canonicalJson(content.injectScript));
  if (reading.script !== null) return { procedure, injectScript: reading.script };
  throw new BundleRefusedError(under("/content/injectScript", reading.faults));
}

function under(path: string, faults: readonly Fault[]): readonly Fault[] {
  return faults.map((one) => ({ ...one, path: path + one.path }));
}

type Words = { readonly path: string; readonly says: string; readonly mend: string };

function refused(code: string, words: Words): BundleRefusedError {
  return new BundleRefusedError([{ code, ...words }]);
}

const madeAgain = "Let the device that made it make it again, and carry it over anew.";

const notWhole: Words = {
  path: "",
  says: "This file is no whole bundle: it was cut, damaged, or is something else.",
  mend: madeAgain,
};

const otherRun: Words = {
  path: "/content/run",
  says: "This bundle is of another run.",
  mend: "Read it from the shelf; it goes into its own run.",
};

const forgedSeal: Words = {
  path: "/seal/signature",
  says: "The device that this bundle names has not signed it.",
  mend: "Do not use it; tell the test director where it came from.",
};

const forgedSegment: Words = {
  path: "/content/segments",
  says: "This bundle holds entries that the device they name has not signed.",
  mend: "Do not use it; tell the test director where it came from.",
};

const foreign: Words = {
  path: "/content/madeBy",
  says: "The device that made this bundle was never let into the run.",
  mend: "Take a bundle from a device that is in the run.",
};

const forDirectors: Words = {
  path: "/content/readers",
  says: "This bundle is for directors: it tells of the injects. This device is not a director’s.",
  mend: "Ask the director for a bundle for everybody.",
};

const otherProcedure: Words = {
  path: "/content/procedure",
  says: "The procedure in this bundle is another than the one that its run pins.",
  mend: madeAgain,
};

// A bundle: a run's record as a file, for where there is no hub.
//
// The file is the gzip (RFC 1952) of the bundle's canonical JSON (RFC 8785). It holds what a pull would
// bring, so that reading it is the same as pulling.
// [bundle 1] What is read of a bundle is whole: its seal's digest is that of its content.
// [bundle 2] A bundle for everybody holds stand-ins where a pull would give them, and no inject script.
// [bundle 3] A bundle names the version of its form; one of a later version is refused by its name.

import { canonicalJson } from "../base/canonical-json.ts";
import { hasCanonicalForm } from "../base/has-canonical-form.ts";
import type { Fault } from "../procedure/fault.ts";
import type { Identity } from "../procedure/ids.ts";
import {
  exactly,
  list,
  nullable,
  object,
  oneOf,
  readShape,
  wholeNumber,
} from "../procedure/read-shape.ts";
import type { DeviceId, PublicKeyText, RunId } from "../record/ids.ts";
import { publicKeyShape, signatureShape } from "./signed-head.ts";
import {
  deviceIdShape,
  digestShape,
  identityShape,
  runIdShape,
  titleShape,
  unreadObject,
} from "./wire-shapes.ts";

/** What a bundle's `format` says. */
export const bundleFormat = "lanehold.bundle";
/** The version of the form that is written; its history is this list: 1, the first. */
export const bundleVersion = 1;

/** For whom a bundle is. */
export type BundleReaders = "everybody" | "directors";

/** What a bundle holds. */
export type BundleContent = {
  readonly format: typeof bundleFormat;
  readonly formatVersion: typeof bundleVersion;
  readonly run: RunId;
  readonly title: string;
  readonly procedureIdentity: Identity;
  readonly readers: BundleReaders;
  /** The device that made it. */
  readonly madeBy: DeviceId;
  /** That device's clock, milliseconds since 1970. */
  readonly madeAtMs: number;
  /** The procedure's document, to be read by `readProcedure`. */
  readonly procedure: object;
  /** The inject script, to be read by `readInjectScript`; null unless it is for directors. */
  readonly injectScript: object | null;
  /** Each is to be read by `readSegment`; those of one device by rising seq. */
  readonly segments: readonly object[];
};

/** The maker's word for the content. */
export type BundleSeal = {
  /** SHA-256 of the content's canonical JSON: 64 hexadecimal digits. */
  readonly digest: string;
  readonly key: PublicKeyText;
  /** Over `sealText`. */
  readonly signature: string;
};

/** A bundle as it stands in a file. */
export type Bundle = { readonly content: BundleContent; readonly seal: BundleSeal };

/** The text that the maker signs. Errors: none. */
export function sealText(run: RunId, madeBy: DeviceId, digest: string): string {
  return canonicalJson({ signs: "lanehold bundle", run, madeBy, digest });
}

/**
 * Reads a bundle's text, without its signature.
 *
 * @param digestHex SHA-256 of a text's UTF-8 bytes, as 64 lower-case hexadecimal digits
 * @returns the bundle, or null and what is wrong with it
 * Errors: none; faults are data.
 */
export function readBundle(
  value: unknown,
  digestHex: (text: string) => string,
): { readonly bundle: Bundle | null; readonly faults: readonly Fault[] } {
  const strange = strangeForm(value);
  if (strange !== null) return { bundle: null, faults: [strange] };
  const { value: bundle, faults } = readShape(bundleShape, value);
  if (bundle === null) return { bundle: null, faults };
  if (bundle.content.readers !== "directors" && bundle.content.injectScript !== null) {
    return { bundle: null, faults: [wrongReaders] };
  }
  // A digest is of the canonical form; what has none was sealed by no app of ours.
  if (!hasCanonicalForm(bundle.content)) return { bundle: null, faults: [damaged] };
  if (digestHex(canonicalJson(bundle.content)) === bundle.seal.digest) return { bundle, faults };
  return { bundle: null, faults: [damaged] };
}

function strangeForm(value: unknown): Fault | null {
  const content: unknown = Reflect.get(Object(value), "content");
  const format: unknown = Reflect.get(Object(content), "format");
  const version: unknown = Reflect.get(Object(content), "formatVersion");
  if (format !== bundleFormat) {
    const says = "This file is no bundle of a run.";
    const mend = "Pick a file that was made by “Hand on a bundle” on another device.";
    return { path: "/content/format", code: "not-a-bundle", says, mend };
  }
  if (version === bundleVersion) return null;
  const says = `This bundle is of form ${JSON.stringify(version) ?? "none"}; this app reads form ${bundleVersion}.`;
  const mend = "Bring the app on this device up to date, then read the bundle again.";
  return { path: "/content/formatVersion", code: "format-version", says, mend };
}

const damaged: Fault = {
  path: "/seal/digest",
  code: "bundle-damaged",
  says: "This bundle was changed after it was made.",
  mend: "Let the device that made it make it again.",
};

const wrongReaders: Fault = {
  path: "/content/injectScript",
  code: "not-for-everybody",
  says: "A bundle for everybody holds no inject script.",
  mend: "Let the device that made it make it again.",
};

const bundleShape = object({
  content: object({
    format: exactly(bundleFormat),
    formatVersion: exactly(bundleVersion),
    run: runIdShape,
    title: titleShape,
    procedureIdentity: identityShape,
    readers: oneOf<BundleReaders>(["everybody", "directors"]),
    madeBy: deviceIdShape,
    madeAtMs: wholeNumber({ min: 0 }),
    procedure: unreadObject,
    injectScript: nullable(unreadObject),
    segments: list(unreadObject),
  }),
  seal: object({ digest: digestShape, key: publicKeyShape, signature: signatureShape }),
});

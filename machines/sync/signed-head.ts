// A device's word for its chain up to one entry, given at every hand-over.
//
// Definition: the *head* of a chain is its last entry's seq and digest. As each entry holds the digest of
//   the one before it, who signs the head signs the whole chain.
// [signed-head 1] What is signed names the run and the device too, so that no signature can be used
//   elsewhere.
// [signed-head 2] A head says everything that is needed to check it: its device's id is the fingerprint
//   of its key.

import { canonicalJson } from "../base/canonical-json.ts";
import { matching, object, wholeNumber } from "../procedure/read-shape.ts";
import type { DeviceId, PublicKeyText, RunId } from "../record/ids.ts";
import { deviceIdShape, digestShape, runIdShape } from "./wire-shapes.ts";

/** The head of a chain with its device's signature. */
export type SignedHead = {
  readonly run: RunId;
  readonly device: DeviceId;
  /** Of the last entry that it covers. */
  readonly seq: number;
  /** Of that entry. */
  readonly digest: string;
  readonly key: PublicKeyText;
  /** ECDSA with SHA-256 over `headText`: 64 bytes (IEEE P1363) as base64url, 86 characters. */
  readonly signature: string;
};

/** The text that is signed: canonical JSON (RFC 8785). Errors: none. */
export function headText(head: Pick<SignedHead, "run" | "device" | "seq" | "digest">): string {
  const { run, device, seq, digest } = head;
  return canonicalJson({ signs: "lanehold head", run, device, seq, digest });
}

/** A public key as text. */
export const publicKeyShape = matching<PublicKeyText>(
  /^B[A-Za-z0-9_-]{86}$/,
  "a public key: 87 characters of base64url",
);

/** A signature as text. */
export const signatureShape = matching<string>(
  /^[A-Za-z0-9_-]{86}$/,
  "a signature: 86 characters of base64url",
);

/** The shape of a `SignedHead`. */
export const signedHeadShape = object({
  run: runIdShape,
  device: deviceIdShape,
  seq: wholeNumber({ min: 1 }),
  digest: digestShape,
  key: publicKeyShape,
  signature: signatureShape,
});

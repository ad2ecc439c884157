// How segments' texts lie in a database: deflated (RFC 1951) against what is alike in all of a chain's.
//
// Definition: the *tail* of a chain is what its first segment's canonical text has from its head on: run,
//   device and key stand there. It is kept once; the dictionary is a skeleton of ours with the tail behind.
// [pack-text 1] What was packed comes back as it was, also after a later version changes the skeleton:
//   the first byte says which form it has.
//
// Measured with 50,000 entries of a random run of the long demo by 27 devices: segments of one entry take
// 633 bytes as text, 458 deflated, 278 with the dictionary; of 100 entries 6,416, 2,436 and 2,190. Packing
// takes 25 microseconds for the small and 120 for the large.

import { deflateRawSync, inflateRawSync } from "node:zlib";
import { assert } from "../../../machines/base/assert.ts";

/** The tail for a chain whose first segment has this canonical text. Errors: none. */
export function tailOfText(text: string): string {
  const at = text.lastIndexOf(',"head":{');
  return at === -1 ? "" : text.slice(at);
}

/** Packs a segment's text. Errors: none. */
export function packText(text: string, tail: string): Buffer {
  const packed = deflateRawSync(text, { level: 6, dictionary: dictionaryOf(tail) });
  return Buffer.concat([formByte, packed]);
}

/** The text that was packed. Errors: an assertion for a form that is not known. */
export function unpackText(bytes: Uint8Array, tail: string): string {
  assert(bytes[0] === form, "a packed text has a form that this version knows");
  const dictionary = dictionaryOf(tail);
  return inflateRawSync(bytes.subarray(1), { dictionary }).toString("utf8");
}

const form = 1;
const formByte = Uint8Array.of(form);

// Never edited: another skeleton is another form.
const skeleton =
  '{"entries":{"bodies":[[0,"devices":["position":[0,1,"positions":["ev1","ev2","iv"],"seen":[[0,0,' +
  '"shapes":[["clock.sampled","offsetMs","roundTripMs"],["note.added","oddity","step","text"],' +
  '["gate.acknowledged","gate","step"],["gate.readback-confirmed","gate","step"],' +
  '["step.started","step"],["step.done","step"]],"wallMs":[17000000';

function dictionaryOf(tail: string): Buffer {
  return Buffer.from(skeleton + tail);
}

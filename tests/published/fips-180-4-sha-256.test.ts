// Published values: SHA-256.
// Source: NIST, "Examples with Intermediate Values" for FIPS 180-4, SHA256.pdf (one- and two-block
// messages); the empty message and the million letters "a" from NIST's CAVP and FIPS 180-2, appendix B.3.
// Values written from memory and equal to Node's own implementation, which the last test compares with.

import { createHash } from "node:crypto";
import { sha256 } from "@noble/hashes/sha2.js";
import { expect, test } from "vitest";
import { sha256Bytes, sha256Hex } from "../../workers/keys/sha-256.ts";

const vectors: readonly { readonly message: string; readonly digest: string }[] = [
  { message: "abc", digest: "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad" },
  { message: "", digest: "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855" },
  {
    message: "abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq",
    digest: "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1",
  },
  {
    message: "a".repeat(1_000_000),
    digest: "cdc76e5c9914fb9281a1c7e284d73e67f1809a48a497200e046d39ccc7112cd0",
  },
];

test.each(vectors)("[sha-256 1] $digest is the digest of its message", ({ message, digest }) => {
  expect(sha256Hex(message)).toBe(digest);
  const bytes = new TextEncoder().encode(message);
  expect(Buffer.from(sha256Bytes(bytes)).toString("hex")).toBe(digest);
});

test.each(["é", "日本", "😀 tether", "line\nbreak"])(
  "[sha-256 2] %j is hashed as UTF-8, as Node does it",
  (message) => {
    expect(sha256Hex(message)).toBe(digestByNode(message));
  },
);

test("[sha-256 1] [sha-256 2] texts of every length, short after long, are hashed as others do it", () => {
  for (const lengths of [[9_000, 4_097, 4_096, 4_095, 1_366, 1_365], countTo(300).toReversed()]) {
    for (const length of lengths) {
      for (const letter of ["a", "é", "日"]) {
        const message = letter.repeat(length);
        expect(sha256Hex(message)).toBe(digestByNode(message));
        const bytes = new TextEncoder().encode(message);
        expect(sha256Bytes(bytes)).toEqual(sha256(bytes));
      }
    }
  }
});

function countTo(count: number): number[] {
  return Array.from({ length: count + 1 }, (_, number) => number);
}

function digestByNode(message: string): string {
  return createHash("sha256").update(message, "utf8").digest("hex");
}

// Published values: base64url and base32.
// Source: RFC 4648, section 10 (test vectors), and section 5 for the two letters of base64url that differ
// from base64's. The RFC pads and writes base32 in capitals; ours is the same without padding, in small
// letters. The base32 column was looked up in public test suites that cite the RFC; the base64 column is
// from memory, and Node's own encoder agrees with it in the last test.

import { expect, test } from "vitest";
import { base32 } from "../../workers/keys/base32.ts";
import { base64Url, bytesOfBase64Url } from "../../workers/keys/base64-url.ts";

const vectors: readonly { readonly text: string; readonly b32: string; readonly b64: string }[] = [
  { text: "", b32: "", b64: "" },
  { text: "f", b32: "MY======", b64: "Zg==" },
  { text: "fo", b32: "MZXQ====", b64: "Zm8=" },
  { text: "foo", b32: "MZXW6===", b64: "Zm9v" },
  { text: "foob", b32: "MZXW6YQ=", b64: "Zm9vYg==" },
  { text: "fooba", b32: "MZXW6YTB", b64: "Zm9vYmE=" },
  { text: "foobar", b32: "MZXW6YTBOI======", b64: "Zm9vYmFy" },
];
const withoutPadding = (text: string) => text.replaceAll("=", "");

test.each(vectors)("[base32 1] $text is $b32", ({ text, b32 }) => {
  expect(base32(new TextEncoder().encode(text))).toBe(withoutPadding(b32).toLowerCase());
});

test.each(vectors)("[base64-url 1] $text is $b64, and back", ({ text, b64 }) => {
  const bytes = new TextEncoder().encode(text);
  expect(base64Url(bytes)).toBe(withoutPadding(b64));
  expect(bytesOfBase64Url(withoutPadding(b64))).toEqual(bytes);
});

test("[base64-url 1] the letters for 62 and 63 are hyphen and underscore", () => {
  const bytes = Uint8Array.of(0xfb, 0xff);
  expect(base64Url(bytes)).toBe("-_8");
  expect(Buffer.from(bytes).toString("base64url")).toBe("-_8");
});

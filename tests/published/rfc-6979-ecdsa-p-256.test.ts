// Published values: signatures of ECDSA with P-256 and SHA-256.
// Source: RFC 6979, appendix A.2.5 (key, and the signatures of "sample" and "test" with SHA-256), looked
// up in public test suites that cite that appendix. The s of "sample" is in the upper half, so whoever
// takes small s only refuses a published signature.

import { expect, test } from "vitest";
import { base64Url } from "../../workers/keys/base64-url.ts";
import { signatureAlgorithm } from "../../workers/keys/web-crypto.ts";
import { signText } from "../../workers/keys/sign-text.ts";
import { verifyText } from "../../workers/keys/verify-text.ts";

const x = "60FED4BA255A9D31C961EB74C6356D68C049B8923B61FA6CE669622E60F29FB6";
const y = "7903FE1008B8BC99A41AE9E95628BC64F2F1B20C2D7E9F5177A3C294D4462299";
const d = "C9AFA9D845BA75166B5C215767B1D6934E50C3DB36E89B127B8A622B120F6721";
const textOf = (hex: string) => base64Url(Buffer.from(hex, "hex"));
const publicKey = textOf(`04${x}${y}`);

const vectors = [
  {
    message: "sample",
    r: "EFD48B2AACB6A8FD1140DD9CD45E81D69D2C877B56AAF991C34D0EA84EAF3716",
    s: "F7CB1C942D657C41D436C7A1B6E29F65F3E900DBB9AFF4064DC4AB2F843ACDA8",
  },
  {
    message: "test",
    r: "F1ABB023518351CD71D881567B1EA663ED3EFCF6C5132B354F28D3B0B7D38367",
    s: "019F4113742A2B14BD25926B49C649155F267E60D3814B4C0CC84250E46F0083",
  },
] as const;

test.each(vectors)("[verify-text 1] the signature of $message", async ({ message, r, s }) => {
  expect(await verifyText(publicKey, message, textOf(r + s))).toBe(true);
  expect(await verifyText(publicKey, `${message} `, textOf(r + s))).toBe(false);
  expect(await verifyText(publicKey, message, textOf(s + r))).toBe(false);
});

test("[sign-text 1] what the published private key signs verifies by its public key", async () => {
  const jwk = { kty: "EC", crv: "P-256", x: textOf(x), y: textOf(y), d: textOf(d) };
  const algorithm = { ...signatureAlgorithm, namedCurve: "P-256" };
  const key = await crypto.subtle.importKey("jwk", jwk, algorithm, false, ["sign"]);
  const signature = await signText(key, "sample");
  expect(await verifyText(publicKey, "sample", signature)).toBe(true);
});

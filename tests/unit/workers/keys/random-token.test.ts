import { expect, test } from "vitest";
import { base64Url, createToken } from "../../../../workers/keys/random-token.ts";

test("[token 1] a token is 43 characters of base64url, and no two are the same", () => {
  const tokens = Array.from({ length: 1000 }, () => createToken());
  expect(tokens.filter((token) => !/^[A-Za-z0-9_-]{43}$/.test(token))).toEqual([]);
  expect(new Set(tokens).size).toBe(tokens.length);
});

test("[token 2] base64url is spelled as Node spells it", () => {
  const bytes = Uint8Array.from({ length: 256 }, (_, index) => index);
  expect(base64Url(bytes)).toBe(Buffer.from(bytes).toString("base64url"));
});

import { expect, test } from "vitest";
import { bytesOfBase64Url } from "../../../../workers/keys/base64-url.ts";
import { createToken } from "../../../../workers/keys/random-token.ts";

test("[token 1] a token is 43 characters of base64url, and no two are the same", () => {
  const tokens = Array.from({ length: 1000 }, () => createToken());
  expect(tokens.filter((token) => !/^[A-Za-z0-9_-]{43}$/.test(token))).toEqual([]);
  expect(new Set(tokens).size).toBe(tokens.length);
});

test("[token 2] a token is the base64url of 32 bytes", () => {
  expect(bytesOfBase64Url(createToken())).toHaveLength(32);
});

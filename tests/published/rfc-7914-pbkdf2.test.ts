// Published values: PBKDF2 with HMAC-SHA-256.
// Source: RFC 7914, section 11, both vectors (looked up in public test suites that cite that section). The
// RFC asks for 64 bytes; ours takes the first 32, which are the same, since RFC 8018, section 5.2, makes
// each 32 bytes on their own.

import { expect, test } from "vitest";
import { stretchCode, stretchRounds } from "../../workers/keys/stretch-code.ts";

test.each([
  {
    password: "passwd",
    salt: "salt",
    rounds: 1,
    derived:
      "55ac046e56e3089fec1691c22544b605f94185216dde0465e68b9d57c20dacbc" +
      "49ca9cccf179b645991664b39d77ef317c71b845b1e30bd509112041d3a19783",
  },
  {
    password: "Password",
    salt: "NaCl",
    rounds: 80_000,
    derived:
      "4ddcd8f60b98be21830cee5ef22701f9641a4418d04c0414aeff08876b34ab56" +
      "a1d425a1225833549adb841b51c9b3176a272bdebba1d078478f62b397f33c8d",
  },
])("[stretch-code 1] $password, $rounds rounds", async ({ password, salt, rounds, derived }) => {
  const key = await stretchCode(password, new TextEncoder().encode(salt), rounds);
  expect(Buffer.from(key).toString("hex")).toBe(derived.slice(0, 64));
});

test("[stretch-code 1] a code is hashed no less often than OWASP asks", () => {
  // OWASP Password Storage Cheat Sheet, PBKDF2: "a work factor of 600,000 or more", HMAC-SHA-256.
  expect(stretchRounds).toBeGreaterThanOrEqual(600_000);
});

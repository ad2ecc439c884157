// Published values: bad signatures of ECDSA with P-256 and SHA-256, in the form of IEEE P1363.
// Source: Project Wycheproof (C2SP/wycheproof), testvectors_v1/ecdsa_secp256r1_sha256_p1363_test.json,
// first test group: tests 1 to 10 as they stand there; tests 11 on pair the special values of r and s, all
// of which are invalid for this message, and are made here from the curve's n and p.

import { expect, test } from "vitest";
import { base64Url } from "../../workers/keys/base64-url.ts";
import { verifyText } from "../../workers/keys/verify-text.ts";

const textOf = (hex: string) => base64Url(Buffer.from(hex, "hex"));
const publicKey = textOf(
  "042927b10512bae3eddcfe467828128bad2903269919f7086069c8c4df6c732838" +
    "c7787964eaac00e5921fb1498a60f4606766b3d9685001558d1a974e7341513e",
);
const message = "123400";
const r = "2ba3a8be6b94d5ec80a6d9d1190a436effe50d85a1eee859b8cc6af9bd5c2e18";
const s = "b329f479a2bbd0a5c384ee1493b1f5186a87139cac5df4087c134b49156847db";

test("[verify-text 1] test 1, the other s of a good signature, and the good one itself", async () => {
  const otherS = "4cd60b855d442f5b3c7b11eb6c4e0ae7525fe710fab9aa7c77a67f79e6fadd76";
  expect(await verifyText(publicKey, message, textOf(r + otherS))).toBe(true);
  expect(await verifyText(publicKey, message, textOf(r + s))).toBe(true);
});

test.each([
  [2, "r + n", `012ba3a8bd6b94d5ed80a6d9d1190a436ebccc0833490686deac8635bcb9bf536900${s}`],
  [3, "r + 256 n", `01002ba3a7be6b94d6ec80a6d9d1190a432be6dfbb2cb98d6d4d72972df620817f180000${s}`],
  [4, "n - r", `d45c5740946b2a147f59262ee6f5bc90bd01ed280528b62b3aed5fc93f06f739${s}`],
  [5, "r + 2^256", `01${r}00${s}`],
  [6, "r + 2^320", `010000000000000000${r}000000000000000000${s}`],
  [
    7,
    "s + n",
    "01b329f478a2bbd0a6c384ee1493b1f518276e0e4a5375928d6fcd160c11cb6d2c00" +
      "b329f479a2bbd0a5c384ee1493b1f5186a87139cac5df4087c134b49156847db",
  ],
  [
    8,
    "s + 256 n",
    "0100b329f379a2bbd1a5c384ee1493b1f4d55181c143c3fc78fc35de0e45788d98db0000" +
      "b329f479a2bbd0a5c384ee1493b1f5186a87139cac5df4087c134b49156847db",
  ],
  [9, "s + 2^256", `01${s}00${s}`],
  [10, "s + 2^320", `010000000000000000${s}000000000000000000${s}`],
])("[verify-text 1] test %i, %s, is refused", async (_, __, signature) => {
  expect(await verifyText(publicKey, message, textOf(signature))).toBe(false);
});

const n = 0xffffffff00000000ffffffffffffffffbce6faada7179e84f3b9cac2fc632551n;
const p = 0xffffffff00000001000000000000000000000000ffffffffffffffffffffffffn;
const special = { "0": 0n, "1": 1n, "n - 1": n - 1n, n, "n + 1": n + 1n, p, "p + 1": p + 1n };
const pairs = Object.entries(special).flatMap(([nameR, valueR]) =>
  Object.entries(special).map(([nameS, valueS]) => ({ nameR, nameS, valueR, valueS })),
);

test.each(pairs)(
  "[verify-text 1] r = $nameR with s = $nameS is refused",
  async ({ valueR, valueS }) => {
    const signature = [valueR, valueS]
      .map((value) => value.toString(16).padStart(64, "0"))
      .join("");
    expect(await verifyText(publicKey, message, textOf(signature))).toBe(false);
  },
);

// Published values: AES-GCM with a key of 256 bits.
// Source: D. McGrew, J. Viega, "The Galois/Counter Mode of Operation (GCM)", appendix B. Test case 16 was
// looked up in public test suites that cite it; 13 and 14 are from memory.

import { expect, test } from "vitest";
import { openSealed, sealBytes } from "../../workers/keys/seal-bytes.ts";

const bytes = (hex: string) => Uint8Array.from(Buffer.from(hex, "hex"));

const vectors = [
  {
    testCase: 13,
    key: "00".repeat(32),
    iv: "00".repeat(12),
    bound: "",
    plain: "",
    cipher: "",
    tag: "530f8afbc74536b9a963b4f1c4cb738b",
  },
  {
    testCase: 14,
    key: "00".repeat(32),
    iv: "00".repeat(12),
    bound: "",
    plain: "00".repeat(16),
    cipher: "cea7403d4d606b6e074ec5d3baf39d18",
    tag: "d0d1c8a799996bf0265b98b5d48ab919",
  },
  {
    testCase: 16,
    key: "feffe9928665731c6d6a8f9467308308".repeat(2),
    iv: "cafebabefacedbaddecaf888",
    bound: "feedfacedeadbeeffeedfacedeadbeefabaddad2",
    plain:
      "d9313225f88406e5a55909c5aff5269a86a7a9531534f7da2e4c303d8a318a72" +
      "1c3c0c95956809532fcf0e2449a6b525b16aedf5aa0de657ba637b39",
    cipher:
      "522dc1f099567d07f47f37a32a84427d643a8cdcbfe5c0c97598a2bd2555d1aa" +
      "8cb08e48590dbb3da7b08b1056828838c5f61e6393ba7a0abcc9f662",
    tag: "76fc6ece0f4e1768cddf8853bb2d551b",
  },
] as const;

test.each(vectors)("[seal-bytes 1] test case $testCase", async (vector) => {
  const seal = { key: bytes(vector.key), iv: bytes(vector.iv), bound: bytes(vector.bound) };
  const sealed = await sealBytes(seal, bytes(vector.plain));
  expect(Buffer.from(sealed).toString("hex")).toBe(vector.cipher + vector.tag);
  expect(await openSealed(seal, sealed)).toEqual(bytes(vector.plain));
});

test.each(vectors)("[seal-bytes 2] test case $testCase with any bit changed", async (vector) => {
  const right = { key: bytes(vector.key), iv: bytes(vector.iv), bound: bytes(vector.bound) };
  const sealed = bytes(vector.cipher + vector.tag);
  for (let bit = 0; bit < sealed.length * 8; bit += 1) {
    expect(await openSealed(right, withBitChanged(sealed, bit))).toBeNull();
  }
  const wrongs = [
    { ...right, key: withBitChanged(right.key, 255) },
    { ...right, iv: withBitChanged(right.iv, 0) },
    { ...right, bound: Uint8Array.of(...right.bound, 0) },
  ];
  for (const wrong of wrongs) expect(await openSealed(wrong, sealed)).toBeNull();
  // Too short to hold a tag.
  expect(await openSealed(right, sealed.slice(0, 15))).toBeNull();
  expect(await openSealed(right, new Uint8Array())).toBeNull();
});

function withBitChanged(whole: Uint8Array<ArrayBuffer>, bit: number): Uint8Array<ArrayBuffer> {
  return whole.map((byte, index) => (index === bit >> 3 ? byte ^ (1 << (bit & 7)) : byte));
}

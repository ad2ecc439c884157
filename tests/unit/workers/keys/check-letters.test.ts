import { createHash } from "node:crypto";
import { expect, test } from "vitest";
import type { DeviceId } from "../../../../machines/record/ids.ts";
import { joinCodeAlphabet, joinCodeShape } from "../../../../machines/sync/join-code.ts";
import { checkLetters } from "../../../../workers/keys/check-letters.ts";

const ids = Array.from({ length: 20_000 }, (_, index) => `device${index}` as DeviceId);

test("[check-letters 1] the letters spell the id's digest in base 20, computed otherwise", () => {
  for (const id of ids.slice(0, 200)) {
    const digest = createHash("sha256").update(id).digest("hex");
    let number = BigInt(`0x${digest.slice(0, 12)}`) % 20n ** 8n;
    const letters = Array.from({ length: 8 }, () => {
      const letter = joinCodeAlphabet[Number(number % 20n)];
      number /= 20n;
      return letter;
    });
    const spelled = letters.reverse().join("");
    expect(checkLetters(id)).toBe(`${spelled.slice(0, 4)}-${spelled.slice(4)}`);
  }
});

test("[check-letters 2] the letters have a join code's form", () => {
  expect(ids.filter((id) => !joinCodeShape(checkLetters(id), "", []))).toEqual([]);
});

test("[check-letters 3] each letter stands about as often at each place", () => {
  const counts = new Map<string, number>();
  for (const id of ids) {
    for (const [place, letter] of Array.from(checkLetters(id).replace("-", "")).entries()) {
      const name = `${letter}${place}`;
      counts.set(name, (counts.get(name) ?? 0) + 1);
    }
  }
  expect(counts.size).toBe(20 * 8);
  // Of 20,000, each is expected 1,000 times, with a standard deviation of 31; the ids are always the same.
  expect([...counts.values()].filter((count) => Math.abs(count - 1000) > 150)).toEqual([]);
});

// Published value: a UUID of version 7. Source: RFC 9562 (2024), appendix A.6.

import { expect, test } from "vitest";
import { uuidOfTime } from "../../workers/keys/random-id.ts";

test("[uuid 1] the example of RFC 9562, appendix A.6", () => {
  // rand_a 0xCC3, rand_b 0x18C4DC0C0C07398F; the bits that give way are set to the contrary.
  const random = Uint8Array.of(0x8c, 0xc3, 0x58, 0xc4, 0xdc, 0x0c, 0x0c, 0x07, 0x39, 0x8f);
  const wallMs = Date.UTC(2022, 1, 22, 19, 22, 22);
  expect(wallMs).toBe(0x017f22e279b0);
  expect(uuidOfTime(wallMs, random)).toBe("017f22e2-79b0-7cc3-98c4-dc0c0c07398f");
});

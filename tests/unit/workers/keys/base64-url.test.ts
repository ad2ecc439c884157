import { expect, test } from "vitest";
import { base64Url, bytesOfBase64Url } from "../../../../workers/keys/base64-url.ts";

test("[base64-url 1] every byte is spelled as Node spells it, and read back", () => {
  const bytes = Uint8Array.from({ length: 256 }, (_, index) => index);
  for (let length = 0; length <= bytes.length; length += 1) {
    const part = bytes.slice(bytes.length - length);
    expect(base64Url(part)).toBe(Buffer.from(part).toString("base64url"));
    expect(bytesOfBase64Url(base64Url(part))).toEqual(part);
  }
});

test.each([
  { says: "padding", text: "Zg==" },
  { says: "letters of base64", text: "+/8" },
  { says: "white space", text: "Zm9v " },
  { says: "a line's end", text: "Zm9v\n" },
  { says: "a length that no bytes have", text: "Zm9vZ" },
  { says: "last bits that are not zero", text: "Zh" },
  { says: "last bits that are not zero, of three letters", text: "Zm9" },
  { says: "a letter outside ASCII", text: "Zm9é" },
])("[base64-url 2] $says: refused", ({ text }) => {
  expect(bytesOfBase64Url(text)).toBeNull();
});

test("[base64-url 2] of all texts of two letters, one in sixteen is the text of a byte", () => {
  const letters = Array.from("ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-_");
  const texts = letters.flatMap((one) => letters.map((two) => one + two));
  expect(texts.filter((text) => bytesOfBase64Url(text) !== null)).toHaveLength(256);
});

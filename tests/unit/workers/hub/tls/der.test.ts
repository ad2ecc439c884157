// The encoding, against what the machine's openssl makes of the same values.

import { readFileSync } from "node:fs";
import { join } from "node:path";
import { expect, test } from "vitest";
import {
  derBitString,
  derInteger,
  derObjectId,
  derOctetString,
  derTime,
  derTrue,
  derUtf8String,
} from "../../../../../workers/hub/tls/der.ts";
import { aFolder, openssl } from "./a-folder.ts";

/** What `openssl asn1parse -genstr` encodes. */
function byOpenssl(text: string): string {
  const out = join(aFolder(), "out");
  const { isGood, says } = openssl("asn1parse", "-genstr", text, "-noout", "-out", out);
  expect(isGood, says).toBe(true);
  return readFileSync(out, "hex");
}

test("[der 1] lengths of each size", () => {
  for (const length of [0, 1, 127, 128, 255, 256, 65_535, 65_536]) {
    const text = "x".repeat(length);
    if (length < 5_000) expect(derUtf8String(text).toString("hex")).toBe(byOpenssl(`UTF8:${text}`));
    const sizes = [127, 255, 65_535].filter((limit) => length > limit).length;
    expect(derUtf8String(text).length).toBe(length + 2 + sizes);
  }
});

test("[der 2] whole numbers, also with the highest bit set and with zeros before", () => {
  for (const hex of ["00", "01", "7f", "80", "ff", "0080", "0100", "8000", "ffffffffffffffffff"]) {
    const found = derInteger(Buffer.from(hex, "hex")).toString("hex");
    expect(found, hex).toBe(byOpenssl(`INTEGER:0x${hex}`));
  }
});

test("[der 1] the other sorts of values that a certificate has", () => {
  for (const id of ["2.5.29.30", "1.2.840.10045.4.3.2", "1.3.6.1.5.5.7.3.1", "2.5.4.10"])
    expect(derObjectId(id).toString("hex"), id).toBe(byOpenssl(`OID:${id}`));
  expect(derTrue().toString("hex")).toBe(byOpenssl("BOOL:true"));
  expect(derOctetString(Buffer.from("0aff", "hex")).toString("hex")).toBe(
    byOpenssl("FORMAT:HEX,OCT:0aff"),
  );
  expect(derBitString(Buffer.from([0b0000_0110]), 1).toString("hex")).toBe(
    byOpenssl("FORMAT:BITLIST,BITSTR:5,6"),
  );
  const [near, far] = [Date.UTC(2049, 11, 31, 23, 59, 59, 999), Date.UTC(2050, 0, 1)];
  expect(derTime(near).toString("hex")).toBe(byOpenssl("UTC:491231235959Z"));
  expect(derTime(far).toString("hex")).toBe(byOpenssl("GENTIME:20500101000000Z"));
});

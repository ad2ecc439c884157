import { createHash } from "node:crypto";
import { expect, test } from "vitest";
import { procedureIdentity } from "../../../../machines/procedure/identity.ts";
import { aProcedure } from "../../../support/a-procedure.ts";

function sha256Hex(text: string): string {
  return createHash("sha256").update(text, "utf8").digest("hex");
}

test("[identity] white space and the order of members do not change it", () => {
  const document = aProcedure();
  const backwards = Object.fromEntries(Object.entries(document).toReversed());
  const spaced: unknown = JSON.parse(JSON.stringify(backwards, null, 4));
  expect(procedureIdentity(spaced, sha256Hex)).toBe(procedureIdentity(document, sha256Hex));
});

test("[identity] any value that differs changes it", () => {
  const other = aProcedure({ revision: "B" });
  expect(procedureIdentity(other, sha256Hex)).not.toBe(procedureIdentity(aProcedure(), sha256Hex));
});

test("[identity] it is the digest of the canonical form, 64 hexadecimal digits", () => {
  // SHA-256 of the two bytes "{}", a value that many documents of the web quote.
  expect(procedureIdentity({}, sha256Hex)).toBe(
    "44136fa355b3678a1146ad16f7e8649e94fb4fc21fe77e8310c060f61caaff8a",
  );
});

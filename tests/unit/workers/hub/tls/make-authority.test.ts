// The local authority, checked by the machine's openssl: an implementation of RFC 5280 that is not ours.

import { createPrivateKey, X509Certificate } from "node:crypto";
import { existsSync, readFileSync, renameSync, rmSync, statSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { expect, test } from "vitest";
import { AuthorityWrongError } from "../../../../../workers/hub/tls/authority-wrong-error.ts";
import { loadCertificate } from "../../../../../workers/hub/tls/load-certificate.ts";
import {
  authorityFiles,
  makeAuthority,
  renewLeaf,
} from "../../../../../workers/hub/tls/make-authority.ts";
import { aFolder, openssl } from "./a-folder.ts";

const nowMs = Date.now();
const hour = 3_600_000;
const strictly = ["verify", "-x509_strict", "-purpose", "sslserver"];
const names = ["hub.example.org", "192.0.2.7", "2001:db8::7"];

function anAuthority(of: readonly string[] = names) {
  const folder = aFolder();
  makeAuthority(folder, of, nowMs);
  return { folder, ...authorityFiles(folder) };
}

test("[issue 2] openssl takes the hub's certificate, by each of its names", () => {
  const { authorityFile, certificateFile } = anAuthority();
  const verify = (...more: readonly string[]) =>
    openssl(...strictly, "-CAfile", authorityFile, ...more, certificateFile);
  expect(verify()).toMatchObject({ isGood: true });
  expect(verify("-verify_hostname", "hub.example.org")).toMatchObject({ isGood: true });
  for (const address of ["192.0.2.7", "2001:db8::7"])
    expect(verify("-verify_ip", address)).toMatchObject({ isGood: true });
  expect(verify("-verify_hostname", "other.example.org").says).toContain("hostname mismatch");
  expect(verify("-verify_ip", "192.0.2.8").says).toContain("IP address mismatch");
});

test("[issue 2] openssl reads the extensions that a tablet asks for", () => {
  const { certificateFile, authorityFile } = anAuthority();
  const leaf = openssl("x509", "-in", certificateFile, "-noout", "-text").says;
  expect(leaf).toMatch(/Version: 3/);
  expect(leaf).toMatch(/CA:FALSE/);
  expect(leaf).toMatch(/Key Usage: critical\s+Digital Signature\n/);
  expect(leaf).toMatch(/Extended Key Usage:\s+TLS Web Server Authentication\n/);
  expect(leaf).toMatch(/DNS:hub\.example\.org, IP Address:192\.0\.2\.7, IP Address:2001:DB8:0/);
  const { validFrom, validTo } = new X509Certificate(readFileSync(certificateFile));
  const days = (Date.parse(validTo) - Date.parse(validFrom)) / (24 * hour);
  expect(days).toBeLessThanOrEqual(398);
  const authority = openssl("x509", "-in", authorityFile, "-noout", "-text").says;
  expect(authority).toMatch(/Basic Constraints: critical\s+CA:TRUE, pathlen:0/);
  expect(authority).toMatch(/Key Usage: critical\s+Certificate Sign, CRL Sign\n/);
  expect(authority).toMatch(/Name Constraints: critical\s+Permitted:\s+DNS:hub\.example\.org/);
  expect(authority).toMatch(
    /Subject: O = Lanehold, CN = "?Lanehold hub of \d{4}-\d\d-\d\d at hub\.example\.org/,
  );
});

test("[issue 1] what the authority vouches for beyond its names is refused by openssl", () => {
  const cases: readonly (readonly [of: readonly string[], san: string, isGood: boolean])[] = [
    [names, "DNS:hub.example.org", true],
    [names, "DNS:bank.example.com", false],
    [names, "DNS:example.org", false],
    [names, "IP:192.0.2.7", true],
    [names, "IP:192.0.2.8", false],
    [names, "IP:2001:db8::8", false],
    [["hub.example.org"], "DNS:hub.example.org", true],
    [["hub.example.org"], "IP:192.0.2.7", false],
    [["hub.example.org"], "IP:2001:db8::7", false],
    [["192.0.2.7"], "IP:192.0.2.7", true],
    [["192.0.2.7"], "DNS:hub.example.org", false],
    [["192.0.2.7"], "IP:2001:db8::7", false],
  ];
  for (const [of, san, isGood] of cases) {
    const made = anAuthority(of);
    const { says, ...found } = verifyForeign(made, san);
    expect(found, `${of.join(" ")} for ${san}: ${says}`).toEqual({ isGood });
    if (!isGood) expect(says).toMatch(/permitted subtree violation|excluded subtree violation/);
  }
});

test("[issue 3] no two certificates have one serial number", () => {
  const { folder, certificateFile, authorityFile } = anAuthority();
  const serials = new Set<string>();
  const note = (path: string) => serials.add(new X509Certificate(readFileSync(path)).serialNumber);
  note(authorityFile);
  for (let time = 0; time < 20; time += 1) {
    renewLeaf(folder, nowMs);
    note(certificateFile);
  }
  expect(serials.size).toBe(21);
});

test("[authority 1] an authority that is there is left as it is", () => {
  const made = anAuthority();
  const before = [made.authorityFile, made.certificateFile].map((path) =>
    readFileSync(path, "utf8"),
  );
  expect(() => makeAuthority(made.folder, ["other.example.org"], nowMs)).toThrow(
    AuthorityWrongError,
  );
  expect(
    [made.authorityFile, made.certificateFile].map((path) => readFileSync(path, "utf8")),
  ).toEqual(before);
});

test("[authority 2] only the owner may read keys", () => {
  const { authorityKeyFile, keyFile } = anAuthority();
  for (const path of [authorityKeyFile, keyFile]) expect(statSync(path).mode & 0o777).toBe(0o600);
});

test("[authority 3] a renewed certificate has the same names, another key, and openssl takes it", () => {
  const { folder, certificateFile, keyFile, authorityFile } = anAuthority();
  const before = new X509Certificate(readFileSync(certificateFile));
  const laterMs = nowMs + 300 * 24 * hour;
  renewLeaf(folder, laterMs);
  const after = new X509Certificate(readFileSync(certificateFile));
  expect(after.subjectAltName).toBe(before.subjectAltName);
  expect(after.checkPrivateKey(createPrivateKey(readFileSync(keyFile)))).toBe(true);
  expect(after.publicKey.equals(before.publicKey)).toBe(false);
  expect(Date.parse(after.validTo) - Date.parse(before.validTo)).toBe(300 * 24 * hour);
  const at = ["-attime", String(Math.floor(laterMs / 1000))];
  const verified = openssl("verify", ...at, "-CAfile", authorityFile, certificateFile);
  expect(verified).toEqual({ isGood: true, says: `${certificateFile}: OK\n` });
});

test("[authority 3] without the authority's key, or with another's, nothing is renewed", () => {
  const { folder, certificateFile, authorityKeyFile } = anAuthority();
  const before = readFileSync(certificateFile, "utf8");
  renameSync(authorityKeyFile, join(folder, "elsewhere"));
  expect(() => renewLeaf(folder, nowMs)).toThrow(AuthorityWrongError);
  writeFileSync(authorityKeyFile, readFileSync(anAuthority().authorityKeyFile));
  expect(() => renewLeaf(folder, nowMs)).toThrow(/not the key/);
  expect(readFileSync(certificateFile, "utf8")).toBe(before);
});

test("[authority 3] a renewed certificate never outlasts the authority", () => {
  const { folder, authorityFile, certificateFile } = anAuthority();
  renewLeaf(folder, nowMs + 3_500 * 24 * hour);
  const ends = [authorityFile, certificateFile].map(
    (path) => new X509Certificate(readFileSync(path)).validTo,
  );
  expect(ends[1]).toBe(ends[0]);
  expect(() => renewLeaf(folder, nowMs + 3_700 * 24 * hour)).toThrow(/has not been good since/);
});

test("[hub-name 1] what is no name makes no authority, and nothing is written", () => {
  for (const name of [
    "*.example.org",
    "https://hub",
    "hub:8787",
    "a b",
    "",
    "-hub",
    "1.2.3",
    "[::1]",
  ]) {
    const folder = join(aFolder(), "tls");
    expect(() => makeAuthority(folder, ["hub", name], nowMs), name).toThrow(AuthorityWrongError);
    expect(existsSync(folder)).toBe(false);
  }
  expect(() => makeAuthority(aFolder(), [], nowMs)).toThrow(/name is missing/);
});

test("[hub-name 1] addresses in each notation are what openssl reads them as", () => {
  const texts = ["::1", "fe80::1:2", "2001:db8:1:2:3:4:5:6", "::ffff:192.0.2.7", "1::", "10.0.0.1"];
  const { certificateFile, authorityFile } = anAuthority(texts);
  for (const text of texts) {
    const verify = ["verify", "-CAfile", authorityFile, "-verify_ip", text, certificateFile];
    expect(openssl(...verify), text).toMatchObject({ isGood: true });
  }
});

test("[load-certificate 1] what the command makes is what the hub takes", () => {
  const { authorityKeyFile, ...files } = anAuthority();
  const loaded = loadCertificate(files, { host: "192.0.2.7", nowMs });
  expect(loaded.names.slice(0, 2)).toEqual(["hub.example.org", "192.0.2.7"]);
  expect(loaded.doubts).toEqual([expect.stringMatching(/Take .*authority\.key off this machine/)]);
  rmSync(authorityKeyFile);
  expect(loadCertificate(files, { host: "192.0.2.7", nowMs }).doubts).toEqual([]);
});

/** Whether openssl takes a certificate for `san` that openssl itself made with our authority's key. */
function verifyForeign(
  { folder, authorityFile, authorityKeyFile }: ReturnType<typeof anAuthority>,
  san: string,
) {
  const [key, request, leaf, extensions] = ["k", "r", "c", "e"].map((name) => join(folder, name));
  const curve = ["-newkey", "ec", "-pkeyopt", "ec_paramgen_curve:prime256v1", "-nodes"];
  const asked = ["req", ...curve, "-subj", "/CN=foreign leaf", "-keyout", key!, "-out", request!];
  expect(openssl(...asked).isGood).toBe(true);
  writeFileSync(extensions!, `subjectAltName=${san}\nextendedKeyUsage=serverAuth\n`);
  const by = ["-CA", authorityFile, "-CAkey", authorityKeyFile, "-CAcreateserial", "-days", "30"];
  const signed = ["x509", "-req", "-in", request!, ...by, "-extfile", extensions!, "-out", leaf!];
  expect(openssl(...signed).isGood).toBe(true);
  return openssl("verify", "-CAfile", authorityFile, leaf!);
}

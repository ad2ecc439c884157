// What the hub says of certificates that it is given; all of them made by the machine's openssl.

import { chmodSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { expect, test } from "vitest";
import { CertificateWrongError } from "../../../../../workers/hub/tls/certificate-wrong-error.ts";
import { loadCertificate } from "../../../../../workers/hub/tls/load-certificate.ts";
import type { CertificateFiles } from "../../../../../workers/hub/tls/load-certificate.ts";
import { authorityFiles, makeAuthority } from "../../../../../workers/hub/tls/make-authority.ts";
import { aFolder, openssl } from "./a-folder.ts";

// An hour on, since openssl lets its certificates begin when they are made.
const nowMs = Date.now() + 3_600_000;
const day = 86_400_000;
const everywhere = { host: "0.0.0.0", nowMs };

/** A certificate that signs itself, as facilities' own tools make them. */
function aCertificate(...more: readonly string[]): CertificateFiles {
  const folder = aFolder();
  const [certificateFile, keyFile] = [join(folder, "c.pem"), join(folder, "k.pem")];
  const curve = ["-newkey", "ec", "-pkeyopt", "ec_paramgen_curve:prime256v1", "-nodes"];
  const files = ["-out", certificateFile, "-keyout", keyFile];
  const asked = ["req", "-x509", ...curve, "-subj", "/CN=hub.example.org", ...files, ...more];
  const { isGood, says } = openssl(...asked);
  expect(isGood, says).toBe(true);
  return { certificateFile, keyFile, authorityFile: null };
}

const named = ["-addext", "subjectAltName=DNS:hub.example.org,IP:192.0.2.7"];

function faultsOf(files: CertificateFiles, at = everywhere): readonly string[] {
  try {
    loadCertificate(files, at);
    return [];
  } catch (cause) {
    if (!(cause instanceof CertificateWrongError)) throw cause;
    return cause.wrong;
  }
}

test("[load-certificate 1] a certificate of a facility's own serves", () => {
  const files = aCertificate(...named, "-days", "90");
  const loaded = loadCertificate(files, { host: "hub.example.org", nowMs });
  expect(loaded.names).toEqual(["hub.example.org", "192.0.2.7"]);
  expect(Math.abs(loaded.endsAtMs - nowMs - 90 * day)).toBeLessThan(day);
  expect(loaded.authority).toBeNull();
  expect(loaded.doubts).toEqual([]);
});

test("[load-certificate 1] each fault has its sentence", () => {
  const good = aCertificate(...named, "-days", "90");
  const other = aCertificate(...named);
  expect(faultsOf({ ...good, keyFile: other.keyFile })).toEqual([
    "The key is not that of the certificate.",
  ]);
  const late = { ...everywhere, nowMs: nowMs + 91 * day };
  expect(faultsOf(good, late)).toMatchObject([expect.stringMatching(/has not been good since/)]);
  const early = { ...everywhere, nowMs: nowMs - day };
  expect(faultsOf(good, early)).toMatchObject([expect.stringMatching(/not yet/)]);
  const nameless = aCertificate();
  expect(faultsOf(nameless)).toMatchObject([expect.stringMatching(/no subject alternative name/)]);
  const { certificateFile, keyFile } = good;
  const swapped = { certificateFile: keyFile, keyFile: certificateFile, authorityFile: null };
  expect(faultsOf(swapped)).toMatchObject([
    expect.stringMatching(/holds no certificate/),
    expect.stringMatching(/holds no private key/),
  ]);
  const missing = { certificateFile: "none/c", keyFile: "none/k", authorityFile: "none/a" };
  expect(faultsOf(missing)).toHaveLength(3);
});

test("[load-certificate 1] a file that is cut or damaged is refused", () => {
  const files = aCertificate(...named);
  const text = readFileSync(files.certificateFile, "utf8");
  writeFileSync(files.certificateFile, text.slice(0, text.length / 2));
  expect(faultsOf(files)).toMatchObject([expect.stringMatching(/holds no certificate/)]);
  // A line is gone, so that no length in it is right any more.
  writeFileSync(files.certificateFile, text.split("\n").toSpliced(3, 1).join("\n"));
  expect(faultsOf(files).length).toBeGreaterThan(0);
});

test("[load-certificate 1] an authority that did not sign the certificate is refused", () => {
  const files = aCertificate(...named);
  const folder = aFolder();
  makeAuthority(folder, ["hub.example.org"], nowMs);
  const { authorityFile, certificateFile } = authorityFiles(folder);
  expect(faultsOf({ ...files, authorityFile })).toMatchObject([
    expect.stringMatching(/not signed by the authority/),
  ]);
  expect(faultsOf({ ...files, authorityFile: certificateFile })).toMatchObject([
    expect.stringMatching(/no authority's certificate/),
  ]);
});

test("[load-certificate 2] what some tablets mind is told", () => {
  const long = aCertificate(...named, "-days", "800");
  expect(loadCertificate(long, everywhere).doubts).toEqual([
    "The certificate lasts 800 days; some tablets take 398.",
  ]);
  const files = aCertificate(...named);
  expect(loadCertificate(files, { host: "192.0.2.8", nowMs }).doubts).toEqual([
    "The certificate does not name 192.0.2.8, where the hub listens.",
  ]);
  chmodSync(files.keyFile, 0o644);
  expect(loadCertificate(files, everywhere).doubts).toMatchObject([
    expect.stringMatching(/chmod 600/),
  ]);
});

test("[load-certificate 3] a key in the authority's file never gets out of it", () => {
  const folder = aFolder();
  makeAuthority(folder, ["hub.example.org"], nowMs);
  const { authorityKeyFile, ...files } = authorityFiles(folder);
  const key = readFileSync(authorityKeyFile, "utf8");
  writeFileSync(files.authorityFile, key + readFileSync(files.authorityFile, "utf8"));
  const loaded = loadCertificate(files, everywhere);
  // Where PKCS #8 has the 32 bytes of a private key of this curve.
  const secret = Buffer.from(key.split("\n").slice(1, 3).join(""), "base64").subarray(36, 68);
  expect(loaded.authority?.bytes.includes(secret)).toBe(false);
  expect(JSON.stringify(loaded)).not.toContain(key.split("\n")[1]);
  const pem = ["x509", "-in", files.authorityFile, "-noout", "-fingerprint", "-sha256"];
  expect(openssl(...pem).says).toContain(loaded.authority?.fingerprint);
});

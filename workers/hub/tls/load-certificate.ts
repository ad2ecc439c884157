// Reads the hub's certificate and looks whether it can serve.
//
// [load-certificate 1] A certificate that no tablet would take is refused, with every fault at once: it
//   cannot be read, does not fit its key, is not yet or no longer good, names nobody, or is not of the
//   authority that tablets are told to trust.
// [load-certificate 2] What only some tablets would mind is told as a doubt, and the hub starts.
// [load-certificate 3] Of the authority's file only the certificate is kept in memory, so that nothing
//   else in that file can ever be handed out.

import { createPrivateKey, X509Certificate } from "node:crypto";
import type { KeyObject } from "node:crypto";
import { existsSync, readFileSync, statSync } from "node:fs";
import { isIP } from "node:net";
import { dirname, join } from "node:path";
import { CertificateWrongError } from "./certificate-wrong-error.ts";
import { leafDaysMax } from "./issue-certificate.ts";

/** The file of the authority's key, which does not belong beside the hub's own. */
export const authorityKeyName = "authority.key";

/** Where the files are. `authorityFile` null: tablets trust the certificate without our help. */
export type CertificateFiles = {
  readonly certificateFile: string;
  readonly keyFile: string;
  readonly authorityFile: string | null;
};

/** A certificate that can serve. */
export type HubCertificate = {
  /** The certificate, and those between it and the authority. */
  readonly certificatePem: string;
  readonly keyPem: string;
  /** Names and addresses that it is good for. */
  readonly names: readonly string[];
  /** Milliseconds since 1970. */
  readonly endsAtMs: number;
  readonly authority: AuthorityCertificate | null;
  /** A sentence for each thing that some tablets will mind. */
  readonly doubts: readonly string[];
};

/** What tablets are told to trust. */
export type AuthorityCertificate = {
  /** The certificate as DER. */
  readonly bytes: Buffer;
  /** SHA-256 of it, as pairs of hexadecimal digits with colons. */
  readonly fingerprint: string;
};

/**
 * Reads and judges the certificate.
 *
 * @param host where the hub listens; must be among the names, unless it is every address
 * @param nowMs milliseconds since 1970
 * Errors: `CertificateWrongError`.
 */
export function loadCertificate(
  files: CertificateFiles,
  { host, nowMs }: { readonly host: string; readonly nowMs: number },
): HubCertificate {
  const wrong: string[] = [];
  const certificatePem = readText(files.certificateFile, wrong);
  const chain = readChain(certificatePem, files.certificateFile, wrong);
  const [leaf] = chain;
  const keyPem = readText(files.keyFile, wrong);
  const key = keyPem === "" ? null : readKey(keyPem, files.keyFile, wrong);
  if (leaf !== undefined) wrong.push(...faultsOf(leaf, key, nowMs));
  const authority = readAuthority(files.authorityFile, chain, wrong);
  if (wrong.length > 0 || leaf === undefined) throw new CertificateWrongError(wrong);
  return {
    certificatePem,
    keyPem,
    names: namesOf(leaf),
    endsAtMs: Math.min(...chain.map(({ validTo }) => Date.parse(validTo))),
    authority,
    doubts: [...doubtsOf(leaf, host), ...keyDoubts(files)],
  };
}

function readText(path: string, wrongMutable: string[]): string {
  try {
    return readFileSync(path, "utf8");
  } catch (cause) {
    wrongMutable.push(`${path} cannot be read: ${sentenceOf(cause)}.`);
    return "";
  }
}

function readChain(text: string, path: string, wrongMutable: string[]): readonly X509Certificate[] {
  if (text === "") return [];
  const blocks = text.match(/-----BEGIN CERTIFICATE-----[^]*?-----END CERTIFICATE-----/g) ?? [];
  if (blocks.length === 0) wrongMutable.push(`${path} holds no certificate as PEM.`);
  try {
    return blocks.map((block) => new X509Certificate(block));
  } catch (cause) {
    wrongMutable.push(`${path} holds a damaged certificate: ${sentenceOf(cause)}.`);
    return [];
  }
}

function readKey(text: string, path: string, wrongMutable: string[]): KeyObject | null {
  try {
    return createPrivateKey(text);
  } catch (cause) {
    wrongMutable.push(`${path} holds no private key without a passphrase: ${sentenceOf(cause)}.`);
    return null;
  }
}

function faultsOf(leaf: X509Certificate, key: KeyObject | null, nowMs: number): readonly string[] {
  const faults: string[] = [];
  if (key !== null && !leaf.checkPrivateKey(key))
    faults.push("The key is not that of the certificate.");
  if (nowMs < Date.parse(leaf.validFrom))
    faults.push(
      `The certificate is good from ${leaf.validFrom}; by this machine's clock, not yet.`,
    );
  if (nowMs >= Date.parse(leaf.validTo))
    faults.push(`The certificate has not been good since ${leaf.validTo}.`);
  if (namesOf(leaf).length === 0)
    faults.push(
      "The certificate has no subject alternative name, without which no tablet takes it.",
    );
  return faults;
}

function readAuthority(
  path: string | null,
  chain: readonly X509Certificate[],
  wrongMutable: string[],
): AuthorityCertificate | null {
  if (path === null) return null;
  const text = readText(path, wrongMutable);
  const [authority] = readChain(text, path, wrongMutable);
  const last = chain.at(-1);
  if (authority === undefined || last === undefined) return null;
  if (!authority.ca) wrongMutable.push(`${path} is no authority's certificate.`);
  else if (!last.checkIssued(authority) || !last.verify(authority.publicKey))
    wrongMutable.push(`The certificate was not signed by the authority in ${path}.`);
  return { bytes: authority.raw, fingerprint: authority.fingerprint256 };
}

function namesOf({ subjectAltName }: X509Certificate): readonly string[] {
  const parts = (subjectAltName ?? "").split(", ");
  return parts.flatMap((part) => /^(?:DNS|IP Address):(.+)$/.exec(part)?.[1] ?? []);
}

function doubtsOf(leaf: X509Certificate, host: string): readonly string[] {
  const doubts: string[] = [];
  const days = (Date.parse(leaf.validTo) - Date.parse(leaf.validFrom)) / 86_400_000;
  if (days > leafDaysMax)
    doubts.push(`The certificate lasts ${Math.ceil(days)} days; some tablets take ${leafDaysMax}.`);
  const isEveryAddress = host === "0.0.0.0" || host === "::";
  const isNamed = isIP(host) === 0 ? leaf.checkHost(host) : leaf.checkIP(host);
  if (!isEveryAddress && isNamed === undefined)
    doubts.push(`The certificate does not name ${host}, where the hub listens.`);
  return doubts;
}

function keyDoubts({ keyFile, authorityFile }: CertificateFiles): readonly string[] {
  const doubts: string[] = [];
  if ((statSync(keyFile).mode & 0o077) !== 0)
    doubts.push(`Others on this machine may read ${keyFile}; chmod 600 keeps them out.`);
  const authorityKey = join(dirname(authorityFile ?? keyFile), authorityKeyName);
  if (existsSync(authorityKey))
    doubts.push(`Take ${authorityKey} off this machine: whoever has it can pose as this hub.`);
  return doubts;
}

function sentenceOf(cause: unknown): string {
  return cause instanceof Error ? cause.message : String(cause);
}

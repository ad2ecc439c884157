// Makes a local authority for a hub, and the hub's certificate under it; renews the latter.
//
// [authority 1] Nothing that is there is written over, but the hub's own certificate when it is renewed.
// [authority 2] Only the owner may read the files of keys.
// [authority 3] A renewed certificate names what the one before named, under the same authority, so that
//   no tablet has to be told anything.

import {
  createPrivateKey,
  createPublicKey,
  generateKeyPairSync,
  X509Certificate,
} from "node:crypto";
import { existsSync, mkdirSync, readFileSync, renameSync, rmSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { AuthorityWrongError } from "./authority-wrong-error.ts";
import { readHubName } from "./hub-name.ts";
import type { HubName } from "./hub-name.ts";
import { issueAuthority, issueLeaf } from "./issue-certificate.ts";
import type { Authority, KeyPair, Lifetime } from "./issue-certificate.ts";
import { authorityKeyName, loadCertificate } from "./load-certificate.ts";

/** The files of an authority's folder. */
export type AuthorityFiles = {
  readonly authorityFile: string;
  /** To be kept off the hub. */
  readonly authorityKeyFile: string;
  readonly certificateFile: string;
  readonly keyFile: string;
};

/** How long the authority lasts, and the hub's certificate, from a day before they are made. */
export const authorityDays = 3_652;
/** A day less than tablets take. */
export const leafDays = 397;

/** The files' names in a folder. */
export function authorityFiles(folder: string): AuthorityFiles {
  return {
    authorityFile: join(folder, "authority.crt"),
    authorityKeyFile: join(folder, authorityKeyName),
    certificateFile: join(folder, "hub.crt"),
    keyFile: join(folder, "hub.key"),
  };
}

/**
 * Makes an authority for these names, and the hub's certificate.
 *
 * @param folder made if it is missing; must hold neither yet
 * @param names names of hosts and addresses under which tablets reach the hub
 * @param nowMs milliseconds since 1970
 * Errors: `AuthorityWrongError`.
 */
export function makeAuthority(folder: string, names: readonly string[], nowMs: number): void {
  const files = authorityFiles(folder);
  const hubNames = readNames(names);
  const there = Object.values(files).filter((path) => existsSync(path));
  if (there.length > 0) {
    throw new AuthorityWrongError(`There is an authority already: ${there.join(", ")}.`, {
      mend: "Name no names to renew the hub's certificate, or choose another folder: --data PATH.",
    });
  }
  const day = new Date(nowMs).toISOString().slice(0, 10);
  // No mark that is escaped in a written name, since it is read back when the leaf is renewed.
  const commonName = `Lanehold hub of ${day} at ${hubNames[0]?.text ?? ""}`.slice(0, 64);
  const authority = { commonName, keys: makeKeys() };
  const lifetime = lifetimeOf(authorityDays, nowMs);
  guard(() => {
    mkdirSync(folder, { recursive: true });
    writeNew(files.authorityKeyFile, keyPem(authority.keys), 0o600);
    writeNew(files.authorityFile, issueAuthority(authority, hubNames, lifetime), 0o644);
  });
  writeLeaf(files, authority, { names: hubNames, lifetime: lifetimeOf(leafDays, nowMs) });
}

/**
 * Renews the hub's certificate with the authority's key, which must be in the folder for this.
 *
 * Errors: `AuthorityWrongError`.
 */
export function renewLeaf(folder: string, nowMs: number): void {
  const files = authorityFiles(folder);
  const certificate = guard(() => new X509Certificate(readFileSync(files.authorityFile)));
  const leaf = guard(() => new X509Certificate(readFileSync(files.certificateFile)));
  const privateKey = guard(() => createPrivateKey(readFileSync(files.authorityKeyFile)));
  if (!certificate.checkPrivateKey(privateKey)) {
    throw new AuthorityWrongError("authority.key is not the key of authority.crt.", {
      mend: "Bring the key that was made together with it.",
    });
  }
  const keys = { privateKey, publicKey: createPublicKey(privateKey) };
  const commonName = /^CN=(.*)$/m.exec(certificate.subject)?.[1] ?? "";
  const { fromMs, toMs } = lifetimeOf(leafDays, nowMs);
  const lifetime = { fromMs, toMs: Math.min(toMs, Date.parse(certificate.validTo)) };
  if (lifetime.toMs <= nowMs) {
    throw new AuthorityWrongError(`The authority has not been good since ${certificate.validTo}.`, {
      mend: "Make another one in another folder, and have the tablets trust it.",
    });
  }
  const given = (leaf.subjectAltName ?? "").split(", ");
  const names = readNames(given.map((name) => name.replace(/^(DNS|IP Address):/, "")));
  writeLeaf(files, { commonName, keys }, { names, lifetime });
}

function readNames(names: readonly string[]): readonly HubName[] {
  const wrong = names.filter((name) => readHubName(name) === null);
  if (names.length > 0 && wrong.length === 0)
    return names.flatMap((name) => readHubName(name) ?? []);
  const says =
    names.length === 0
      ? "The hub's name is missing."
      : `These are neither names of hosts nor addresses: ${wrong.join(", ")}.`;
  throw new AuthorityWrongError(says, {
    mend: "Name every name and address under which tablets reach the hub: hub.example.org 192.0.2.7",
  });
}

// Beginning a day early, for tablets whose clocks are behind.
function lifetimeOf(days: number, nowMs: number): Lifetime {
  const fromMs = nowMs - 86_400_000;
  return { fromMs, toMs: fromMs + days * 86_400_000 };
}

function writeLeaf(
  files: AuthorityFiles,
  authority: Authority,
  { names, lifetime }: { readonly names: readonly HubName[]; readonly lifetime: Lifetime },
): void {
  const keys = makeKeys();
  const { publicKey } = keys;
  const leaf = issueLeaf(authority, { publicKey, names, lifetime });
  const [keyFile, certificateFile] = [`${files.keyFile}.new`, `${files.certificateFile}.new`];
  guard(() => {
    for (const path of [keyFile, certificateFile]) rmSync(path, { force: true });
    writeNew(keyFile, keyPem(keys), 0o600);
    writeNew(certificateFile, leaf, 0o644);
  });
  // What was written is read as the hub will read it, before it takes the place of what is there.
  const { authorityFile } = files;
  const nowMs = lifetime.fromMs + 86_400_000;
  loadCertificate({ certificateFile, keyFile, authorityFile }, { host: "::", nowMs });
  guard(() => {
    renameSync(keyFile, files.keyFile);
    renameSync(certificateFile, files.certificateFile);
  });
}

function makeKeys(): KeyPair {
  return generateKeyPairSync("ec", { namedCurve: "prime256v1" });
}

function keyPem({ privateKey }: KeyPair): string {
  return String(privateKey.export({ type: "pkcs8", format: "pem" }));
}

function writeNew(path: string, text: string, mode: number): void {
  writeFileSync(path, text, { mode, flag: "wx" });
}

function guard<Value>(act: () => Value): Value {
  try {
    return act();
  } catch (cause) {
    const says = cause instanceof Error ? cause.message : String(cause);
    throw new AuthorityWrongError(`The authority's folder failed: ${says}.`, {
      mend: "Look whether the folder may be written, and holds authority.crt, authority.key and hub.crt.",
      cause,
    });
  }
}

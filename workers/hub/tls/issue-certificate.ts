// Certificates of a hub's own authority, and of the hub under it.
//
// [issue 1] The authority can vouch for the hub's names and addresses and nothing else: whatever sort of
//   name it was not made for is excluded whole.
// [issue 2] The hub's certificate names its names, serves for servers only, and lasts `leafDaysMax` at most.
// [issue 3] Each certificate has a serial number of its own, with 127 random bits.
//
// Source: RFC 5280, sections 4.1 and 4.2; how a sort of name is excluded: CA/Browser Forum, Baseline
// Requirements for TLS Server Certificates, "Technically Constrained" (section 7.1.2.5.2 of version 2);
// elliptic curve and digest: RFC 5758, section 3.2, RFC 5480. Values from memory; openssl's and Chromium's
// own verification in the tests is what they are checked by.

import { createHash, randomBytes, sign } from "node:crypto";
import type { KeyObject } from "node:crypto";
import { assert } from "../../../machines/base/assert.ts";
import {
  derBitString,
  derInteger,
  derObjectId,
  derOctetString,
  derSequence,
  derSetOf,
  derTime,
  derTrue,
  derUtf8String,
  derValue,
} from "./der.ts";
import type { HubName } from "./hub-name.ts";

/** The longest that tablets take of a server's certificate. Source: support.apple.com 102028; from memory. */
export const leafDaysMax = 398;

/** A pair of keys of curve P-256. */
export type KeyPair = { readonly publicKey: KeyObject; readonly privateKey: KeyObject };

/** What vouches: a certificate's subject and its keys. */
export type Authority = { readonly commonName: string; readonly keys: KeyPair };

/** From when to when, milliseconds since 1970. */
export type Lifetime = { readonly fromMs: number; readonly toMs: number };

/** The authority's own certificate, as PEM. [issue 1] Errors: none. */
export function issueAuthority(
  authority: Authority,
  names: readonly HubName[],
  lifetime: Lifetime,
): string {
  return issue(authority, { ...authority, publicKey: authority.keys.publicKey, lifetime }, [
    // The authority signs no other authority: a path of length 0 behind it.
    extension("2.5.29.19", "critical", derSequence(derTrue(), derInteger(Buffer.from([0])))),
    // keyCertSign and cRLSign.
    extension("2.5.29.15", "critical", derBitString(Buffer.from([0b0000_0110]), 1)),
    extension("2.5.29.30", "critical", nameConstraints(names)),
  ]);
}

/** The hub's certificate, as PEM. [issue 2] Errors: none. */
export function issueLeaf(authority: Authority, { publicKey, names, lifetime }: Leaf): string {
  assert(names.length > 0, "A certificate without a name serves nobody.");
  const days = (lifetime.toMs - lifetime.fromMs) / 86_400_000;
  assert(days <= leafDaysMax, "The hub's certificate would last longer than tablets take.");
  // The subject is no name of a host, for that is read from the alternative names alone.
  return issue(authority, { commonName: "Lanehold hub", publicKey, lifetime }, [
    extension("2.5.29.19", "critical", derSequence()),
    // digitalSignature.
    extension("2.5.29.15", "critical", derBitString(Buffer.from([0b1000_0000]), 7)),
    // serverAuth.
    extension("2.5.29.37", "", derSequence(derObjectId("1.3.6.1.5.5.7.3.1"))),
    extension("2.5.29.17", "", derSequence(...names.map(alternativeName))),
  ]);
}

/** For whom a leaf is. */
export type Leaf = {
  readonly publicKey: KeyObject;
  readonly names: readonly HubName[];
  readonly lifetime: Lifetime;
};

type Subject = Omit<Leaf, "names"> & { readonly commonName: string };

function issue(
  { commonName, keys }: Authority,
  subject: Subject,
  extensions: readonly Uint8Array[],
): string {
  const algorithm = derSequence(derObjectId("1.2.840.10045.4.3.2"));
  const { fromMs, toMs } = subject.lifetime;
  const signed = derSequence(
    derValue(0xa0, derInteger(Buffer.from([2]))),
    derInteger(serialNumber()),
    algorithm,
    distinguishedName(commonName),
    derSequence(derTime(fromMs), derTime(toMs)),
    distinguishedName(subject.commonName),
    subject.publicKey.export({ type: "spki", format: "der" }),
    derValue(
      0xa3,
      derSequence(
        ...extensions,
        extension("2.5.29.14", "", derOctetString(keyIdentifier(subject.publicKey))),
        extension("2.5.29.35", "", derSequence(derValue(0x80, keyIdentifier(keys.publicKey)))),
      ),
    ),
  );
  const signature = sign("sha256", signed, keys.privateKey);
  return pem(derSequence(signed, algorithm, derBitString(signature)));
}

function serialNumber(): Uint8Array {
  const bytes = randomBytes(16);
  bytes[0] = (bytes[0] ?? 0) & 0x7f;
  return bytes;
}

// Organization, then common name.
function distinguishedName(commonName: string): Buffer {
  return derSequence(attribute("2.5.4.10", "Lanehold"), attribute("2.5.4.3", commonName));
}

function attribute(type: string, text: string): Buffer {
  return derSetOf(derSequence(derObjectId(type), derUtf8String(text)));
}

function extension(id: string, isCritical: "critical" | "", value: Uint8Array): Buffer {
  const critical = isCritical === "critical" ? [derTrue()] : [];
  return derSequence(derObjectId(id), ...critical, derOctetString(value));
}

function alternativeName(name: HubName): Buffer {
  return name.sort === "host"
    ? derValue(0x82, Buffer.from(name.text, "ascii"))
    : derValue(0x87, name.bytes);
}

function nameConstraints(names: readonly HubName[]): Buffer {
  const permitted = names.map((name) => derSequence(constraint(name)));
  const has = (sort: HubName["sort"]) => names.some((name) => name.sort === sort);
  const excluded = [
    // A name of no letters is the end of every name; a mask of no bits fits every address.
    ...(has("host") ? [] : [derSequence(derValue(0x82))]),
    ...(has("address") ? [] : [4, 16].map((size) => derSequence(derValue(0x87, zeros(2 * size))))),
  ];
  return derSequence(
    derValue(0xa0, ...permitted),
    ...(excluded.length === 0 ? [] : [derValue(0xa1, ...excluded)]),
  );
}

function constraint(name: HubName): Buffer {
  if (name.sort === "host") return alternativeName(name);
  return derValue(0x87, name.bytes, Buffer.alloc(name.bytes.length, 0xff));
}

function zeros(length: number): Buffer {
  return Buffer.alloc(length);
}

// The first 160 bits of the key's SHA-256 digest. Source: RFC 7093, section 2, method 1.
function keyIdentifier(publicKey: KeyObject): Buffer {
  const point = publicKey.export({ type: "spki", format: "der" }).subarray(-65);
  return createHash("sha256").update(point).digest().subarray(0, 20);
}

function pem(der: Buffer): string {
  const lines = der.toString("base64").match(/.{1,64}/g) ?? [];
  return `-----BEGIN CERTIFICATE-----\n${lines.join("\n")}\n-----END CERTIFICATE-----\n`;
}

// Each device's entries are dense from 1, each carries the digest of the one before, and the head
// is the last one's.

import type { Entry } from "../../../machines/record/entry.ts";
import { sha256Hex } from "../../../workers/keys/sha-256.ts";
import type { DeviceLeft, Leftovers } from "./leftovers.ts";

/** Where a chain is broken, or a head is not its end. */
export function checkChains({ devices, textOf }: Leftovers): readonly string[] {
  const digestsByText = new Map<string, string>();
  const digestOf = (entry: Entry): string => {
    // Who was struck off before the run was closed is left with stand-ins.
    if (entry.body.kind === "entry.withheld") return entry.body.digest;
    const text = textOf(entry);
    const digest = digestsByText.get(text) ?? sha256Hex(text);
    digestsByText.set(text, digest);
    return digest;
  };
  return devices.flatMap((device) => chainFaults(device, digestOf));
}

function chainFaults(
  { name, entries, heads }: DeviceLeft,
  digestOf: (entry: Entry) => string,
): readonly string[] {
  const faults: string[] = [];
  const authors = new Set([...entries, ...heads].map(({ device }) => device));
  for (const author of authors) {
    const chain = entries
      .filter(({ device }) => device === author)
      .toSorted((a, b) => a.seq - b.seq);
    let digest: string | null = null;
    for (const [index, entry] of chain.entries()) {
      const at = `${name} holds ${author}:${entry.seq}`;
      if (entry.seq !== index + 1) faults.push(`seqs are dense: ${at} as number ${index + 1}`);
      if (entry.prev !== digest) faults.push(`each entry follows on the one before: ${at}`);
      digest = digestOf(entry);
    }
    const head = heads.find(({ device }) => device === author);
    if (head?.seq !== chain.length || head.digest !== digest) {
      faults.push(`the head is the last entry: ${name} for ${author}`);
    }
  }
  return faults;
}

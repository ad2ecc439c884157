// The names under which tablets reach a hub: names of hosts and addresses.
//
// [hub-name 1] Only what a certificate can name exactly is read: no wildcard, no port, no address of a
//   web page.

import { isIP, isIPv4 } from "node:net";

/** A name of a host, or an address with its bytes: four, or sixteen. */
export type HubName =
  | { readonly sort: "host"; readonly text: string }
  | { readonly sort: "address"; readonly text: string; readonly bytes: Uint8Array };

/** Reads a name. @returns null if it is none. Errors: none. */
export function readHubName(given: string): HubName | null {
  const text = given.trim().toLowerCase().replace(/\.$/, "");
  if (isIPv4(text)) return { sort: "address", text, bytes: Uint8Array.from(quad(text)) };
  if (isIP(text) === 6 && !text.includes("%"))
    return { sort: "address", text, bytes: bytesOfIpv6(text) };
  const labels = text.split(".");
  // RFC 1123, section 2.1; a last label of digits alone would be half an address.
  const isHost =
    text.length <= 253 &&
    labels.every((label) => /^(?!-)[a-z0-9-]{1,63}(?<!-)$/.test(label)) &&
    !/^\d+$/.test(labels.at(-1) ?? "");
  return isHost ? { sort: "host", text } : null;
}

function quad(text: string): readonly number[] {
  return text.split(".").map(Number);
}

// RFC 4291, section 2.2: "::" stands for as many zeros as are missing; the end may be an IPv4 address.
function bytesOfIpv6(text: string): Uint8Array {
  const [before = "", after] = text.split("::");
  const head = groupsOf(before);
  const tail = after === undefined ? [] : groupsOf(after);
  const zeros = Array.from({ length: 16 - head.length - tail.length }, () => 0);
  return Uint8Array.from([...head, ...zeros, ...tail]);
}

function groupsOf(part: string): readonly number[] {
  return part === "" ? [] : part.split(":").flatMap(bytesOfGroup);
}

function bytesOfGroup(group: string): readonly number[] {
  if (group.includes(".")) return quad(group);
  const value = Number.parseInt(group, 16);
  return [value >> 8, value & 0xff];
}

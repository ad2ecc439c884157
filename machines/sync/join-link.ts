// The link that an invitation's QR holds: where the hub is, the code, and the run that it lets into.
//
// [join-link 1] Code and run stand after the "#", which no browser sends to any server.
// [join-link 2] As the run's id names the key that every right in it goes back to, whoever scans the link
//   trusts that key and no network.
// [join-link 3] A link that is read names a whole code and a run with a root; nothing else is one.
// [join-link 4] A link to a machine's own loopback address leads nowhere from another device.

import { rootOfRun } from "../record/ids.ts";
import type { RunId } from "../record/ids.ts";
import { createJoinCode, joinCodeAlphabet, joinCodeLetters, plainJoinCode } from "./join-code.ts";

/** What a link says. */
export type JoinLink = {
  /** "https://hub.example:8443"; null: the text had no address before the "#". */
  readonly origin: string | null;
  /** "BCDF-GHJK". */
  readonly code: string;
  readonly run: RunId;
};

/**
 * The link of an invitation.
 *
 * @param origin the hub's own, without a slash at its end: "https://hub.example:8443"
 * Errors: none.
 */
export function joinLink(origin: string, code: string, run: RunId): string {
  return `${origin}/#join=${code}&run=${encodeURIComponent(run)}`;
}

/** Reads a link, or what stands after a page's "#"; null: it is none. Errors: none. */
export function readJoinLink(text: string): JoinLink | null {
  const parts = linkPattern.exec(text.trim());
  if (parts === null) return null;
  const [, origin = "", typed = "", named = ""] = parts;
  const code = shownCode(typed);
  const run = decoded(named);
  if (code === null || run === null || rootOfRun(run) === null) return null;
  return { origin: origin === "" ? null : origin.toLowerCase(), code, run };
}

/**
 * Whether an origin is one that only the machine itself can reach.
 *
 * Errors: none.
 * Source: RFC 6761, section 6.3; RFC 1122, section 3.2.1.3; RFC 4291, section 2.5.3; cited from memory.
 */
export function isLoopbackOrigin(origin: string): boolean {
  return /^https?:\/\/(localhost|[^/:]+\.localhost|127(\.\d{1,3}){3}|\[::1\])(:\d+)?$/i.test(
    origin,
  );
}

const linkPattern = /^(https?:\/\/[^/\s?#]+|)\/?#join=([A-Za-z-]{8,9})&run=([\w.%-]{3,200})$/i;

// The code as it is shown; null: it has other letters than a code has, or too few.
function shownCode(typed: string): string | null {
  const letters = plainJoinCode(typed);
  if (letters.length !== joinCodeLetters) return null;
  const places = letters.split("").map((letter) => joinCodeAlphabet.indexOf(letter));
  if (places.includes(-1)) return null;
  let at = 0;
  return createJoinCode(() => places[at++] ?? 0);
}

function decoded(named: string): RunId | null {
  try {
    return decodeURIComponent(named) as RunId;
  } catch {
    return null;
  }
}

// The two sorts of answers of the hub's API: what was asked for, and a refusal.
//
// [answer 1] Every refusal has the body `Refusal`, whatever its status.

import type { Refusal } from "../../machines/sync/refusal.ts";
import type { HubContext } from "./hub.ts";

/** At most so many faults are listed in one refusal; `says` tells when there are more. */
const refusalFaultsMax = 200;

/** A refusal and its HTTP status. Without `faults`, the fault lies elsewhere than in the body. */
export type RefusalOf = Omit<Refusal, "faults"> & {
  readonly status: 400 | 401 | 403 | 404 | 409 | 410 | 413 | 415 | 426 | 429 | 500 | 503;
  readonly faults?: Refusal["faults"];
  readonly headers?: Readonly<Record<string, string>>;
};

/** The answer 200 with a value as JSON, never kept by a cache unless `headers` say otherwise. */
export function answerJson(
  value: unknown,
  headers: Readonly<Record<string, string>> = {},
): Response {
  return jsonResponse(JSON.stringify(value), 200, headers);
}

/** As `answerJson`, with the JSON as text. */
export function answerText(text: string): Response {
  return jsonResponse(text, 200, {});
}

/** A refusal as an answer. */
export function refuse(c: HubContext, { status, headers = {}, ...refusal }: RefusalOf): Response {
  const { code, says, mend, faults = [] } = refusal;
  const more = faults.length - refusalFaultsMax;
  const body: Refusal = {
    code,
    says: more > 0 ? `${says} ${more} more faults are not listed.` : says,
    mend,
    faults: faults.slice(0, refusalFaultsMax),
  };
  c.set("refusedCode", code);
  return jsonResponse(JSON.stringify(body), status, headers);
}

// The length is told, so that small answers are not compressed.
function jsonResponse(
  text: string,
  status: number,
  headers: Readonly<Record<string, string>>,
): Response {
  const bytes = new TextEncoder().encode(text);
  return new Response(bytes, {
    status,
    headers: {
      "content-type": "application/json; charset=utf-8",
      "content-length": String(bytes.length),
      "cache-control": "no-store",
      ...headers,
    },
  });
}

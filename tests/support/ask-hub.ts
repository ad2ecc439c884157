// A hub in a process of its own, as the tablets of tests ask it.

import { protocolHeader, protocolVersion } from "../../machines/sync/protocol-version.ts";
import type { HubToAsk } from "../unit/workers/link/a-tablet.ts";
import type { HubProcess } from "./hub-process.ts";

/** Asks it over the network, with this machine's clock. */
export function askHub({ address }: Pick<HubProcess, "address">): HubToAsk {
  return {
    clock: { nowMs: () => Date.now() },
    ask: (method, path, { token, json, body, headers = {} } = {}) =>
      fetch(`${address}${path}`, {
        method,
        headers: {
          [protocolHeader]: String(protocolVersion),
          ...(token === undefined ? {} : { authorization: `Bearer ${token}` }),
          ...headers,
        },
        body: json === undefined ? (body ?? null) : JSON.stringify(json),
      }),
  };
}

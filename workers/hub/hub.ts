// What every route of the hub works with.

import type { HttpBindings } from "@hono/node-server";
import type { Context } from "hono";
import type { Clock } from "./clock.ts";
import type { EventStreams } from "./event-streams.ts";
import type { Limits } from "./limits.ts";
import type { Log } from "./log.ts";
import type { Metrics } from "./metrics.ts";
import type { Standing } from "./standing.ts";
import type { RecordStorage } from "./storage/record-storage.ts";

/** The hub's parts. */
export type Hub = {
  readonly storage: RecordStorage;
  readonly clock: Clock;
  readonly streams: EventStreams;
  readonly limits: Limits;
  readonly metrics: Metrics;
  readonly log: Log;
  readonly standing: Standing;
  /** Folder of the built app. */
  readonly appFolder: string;
  readonly invitationMs: number;
  /** A random whole number from 0 to one less than the bound, from the platform's secure source. */
  readonly randomBelow: (bound: number) => number;
};

/** What a request carries through the hub. `incoming` and `outgoing` are missing without a socket. */
export type HubEnv = {
  Bindings: Partial<HttpBindings>;
  Variables: { route: string; refusedCode: string | undefined };
};

/** A request and its answer under way. */
export type HubContext = Context<HubEnv>;

/** The address that a request came from; "none" where it came through no socket. */
export function clientAddress(c: HubContext): string {
  return c.env.incoming?.socket.remoteAddress ?? "none";
}

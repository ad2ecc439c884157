// What a hub that serves TLS answers over plain HTTP.
//
// [plain-door 1] How to trust the hub, and its authority's certificate; nothing else.
// [plain-door 2] Whoever asks for a page is led to TLS; anything that may carry a secret is refused.

import { createAdaptorServer } from "@hono/node-server";
import type { ServerType } from "@hono/node-server";
import { Hono } from "hono";
import { refuse } from "../answer.ts";
import type { Hub, HubEnv } from "../hub.ts";
import { answerAuthority, answerTrust } from "../routes/trust.ts";

/**
 * The server for plain HTTP, not yet listening.
 *
 * @param securePort where TLS is served
 */
export function createPlainDoor(hub: Hub, securePort: () => number): ServerType {
  const app = new Hono<HubEnv>();
  app.use(async (c, next) => {
    await next();
    c.res.headers.set("content-security-policy", "default-src 'none'; frame-ancestors 'none'");
    c.res.headers.set("x-content-type-options", "nosniff");
    c.res.headers.set("referrer-policy", "no-referrer");
  });
  app.get("/trust", () => answerTrust(hub));
  app.get("/trust/authority.crt", (c) => answerAuthority(hub, c));
  app.all("*", (c) => {
    const { method, path } = c.req;
    const isPage = (method === "GET" || method === "HEAD") && !path.startsWith("/api/");
    if (!isPage) return refuse(c, plainRefused);
    const { hostname, search } = new URL(c.req.url);
    const names = hub.standing.certificate?.names ?? [];
    const isNamed = names.includes(hostname.replace(/^\[(.*)\]$/, "$1"));
    const host = isNamed ? hostname : (names[0] ?? hostname);
    return c.redirect(`https://${host}:${securePort()}${path}${search}`, 307);
  });
  return createAdaptorServer({ fetch: app.fetch, overrideGlobalObjects: false });
}

const plainRefused = {
  status: 403,
  code: "not-secure",
  says: "This hub talks to devices over TLS only.",
  mend: "Open the app at the hub's https address.",
} as const;

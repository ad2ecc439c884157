// The hub over HTTP: its routes, and what holds for all of them.
//
// [server 1] A request of the API that speaks another version of the wire is refused with 426.
// [server 2] Answers are compressed for who accepts it; the stream never is.
// [server 3] Every answer carries the headers that keep pages from loading or running anything that is
//   not the hub's own.
// [server 4] What fails inside is answered as a refusal that says nothing of the inside, and logged.

import { createServer as createSecureServer } from "node:https";
import { createAdaptorServer } from "@hono/node-server";
import type { ServerType } from "@hono/node-server";
import { Hono } from "hono";
import { compress } from "hono/compress";
import { protocolHeader, protocolVersion } from "../../machines/sync/protocol-version.ts";
import { refuse } from "./answer.ts";
import type { RefusalOf } from "./answer.ts";
import type { Hub, HubContext, HubEnv } from "./hub.ts";
import { answerHealth, answerMetrics } from "./routes/health.ts";
import { answerInjectScript } from "./routes/inject-script.ts";
import { answerInvite } from "./routes/invite.ts";
import { answerJoin } from "./routes/join.ts";
import { answerOpen } from "./routes/open.ts";
import { answerProcedure, answerProcedures, answerPutProcedure } from "./routes/procedures.ts";
import { answerPull } from "./routes/pull.ts";
import { answerPush } from "./routes/push.ts";
import { answerStatic } from "./routes/static.ts";
import { answerStream } from "./routes/stream.ts";
import { answerAuthority, answerTrust } from "./routes/trust.ts";
import { StorageFailedError } from "./storage/storage-failed-error.ts";
import { secureContextOf } from "./tls/keep-certificate.ts";

type Answer = (hub: Hub, c: HubContext) => Promise<Response>;

/** The hub's routes: how a request is named in the log and the metrics, and who answers it. */
const routes: readonly (readonly [name: string, method: string, path: string, answer: Answer])[] = [
  ["open", "POST", "/api/runs", answerOpen],
  ["invite", "POST", "/api/runs/:run/invitations", answerInvite],
  ["join", "POST", "/api/join", answerJoin],
  ["push", "POST", "/api/runs/:run/entries", answerPush],
  ["pull", "GET", "/api/runs/:run/entries", answerPull],
  ["stream", "GET", "/api/runs/:run/stream", answerStream],
  ["inject-script", "GET", "/api/runs/:run/inject-script", answerInjectScript],
  ["procedures", "GET", "/api/procedures", answerProcedures],
  ["procedure", "GET", "/api/procedures/:identity", answerProcedure],
  ["put-procedure", "PUT", "/api/procedures/:identity", answerPutProcedure],
  ["unknown", "ALL", "/api/*", (_, c) => Promise.resolve(refuse(c, routeUnknown))],
  ["health", "GET", "/healthz", answerHealth],
  ["metrics", "GET", "/metrics", answerMetrics],
  ["trust", "GET", "/trust", answerTrust],
  ["authority", "GET", "/trust/authority.crt", answerAuthority],
  ["static", "GET", "*", answerStatic],
];

/** The hub as a function from request to answer; `app.request` asks it without a socket. */
export function createHubApp(hub: Hub): Hono<HubEnv> {
  const app = new Hono<HubEnv>();
  app.use(async (c, next) => {
    const startMs = performance.now();
    await next();
    for (const [name, value] of Object.entries(safeHeaders)) c.res.headers.set(name, value);
    noteRequest(hub, c, performance.now() - startMs);
  });
  app.use(compress());
  app.use("/api/*", async (c, next) => {
    const spoken = c.req.header(protocolHeader);
    if (spoken !== String(protocolVersion)) return refuse(c, otherVersion(spoken));
    await next();
    c.res.headers.set(protocolHeader, String(protocolVersion));
    return undefined;
  });
  for (const [name, method, path, answer] of routes) {
    const handle = (c: HubContext) => {
      c.set("route", name);
      return answer(hub, c);
    };
    if (method === "ALL") app.all(path, handle);
    else app.on(method, path, handle);
  }
  app.notFound((c) => refuse(c, routeUnknown));
  app.onError((cause, c) => {
    hub.log("error", "request.failed", {
      route: c.get("route") ?? "none",
      cause: String(cause.stack),
    });
    return refuse(c, cause instanceof StorageFailedError ? storageFailed : hubFailed);
  });
  return app;
}

/** The hub as a server of Node's, not yet listening: over TLS if the hub has a certificate. */
export function createHubServer(hub: Hub): ServerType {
  const { fetch } = createHubApp(hub);
  const { certificate } = hub.standing;
  if (certificate === null) return createAdaptorServer({ fetch, overrideGlobalObjects: false });
  return createAdaptorServer({
    fetch,
    overrideGlobalObjects: false,
    createServer: createSecureServer,
    serverOptions: secureContextOf(certificate),
  });
}

function noteRequest(hub: Hub, c: HubContext, durationMs: number): void {
  const route = c.get("route") ?? "none";
  const { status } = c.res;
  const code = c.get("refusedCode") ?? null;
  hub.metrics.countRequest(route, status, durationMs / 1000);
  if (code !== null) hub.metrics.countRefusal(code);
  const level = status >= 500 ? "error" : "debug";
  hub.log(level, "request.answered", { route, status, code, ms: Math.round(durationMs * 10) / 10 });
}

/** The app loads nothing but its own files and talks to nobody but its hub. */
const contentSecurityPolicy = [
  "default-src 'none'",
  "script-src 'self'",
  "style-src 'self'",
  "img-src 'self' data: blob:",
  "font-src 'self'",
  "connect-src 'self'",
  "manifest-src 'self'",
  "worker-src 'self'",
  "base-uri 'none'",
  "form-action 'none'",
  "frame-ancestors 'none'",
].join("; ");

const safeHeaders = {
  "content-security-policy": contentSecurityPolicy,
  "x-content-type-options": "nosniff",
  "referrer-policy": "no-referrer",
  // The camera reads invitations; nothing else of the device is needed.
  "permissions-policy": "camera=(self), microphone=(), geolocation=()",
  "cross-origin-opener-policy": "same-origin",
  "cross-origin-resource-policy": "same-origin",
};

function otherVersion(spoken: string | undefined): RefusalOf {
  return {
    status: 426,
    code: "protocol-version",
    says:
      spoken === undefined
        ? `This request names no version of the wire; the hub speaks version ${protocolVersion}.`
        : `This device speaks version ${spoken.slice(0, 20)} of the wire; ` +
          `the hub speaks version ${protocolVersion}.`,
    mend: "Reload the app while the hub is in reach, so that both are of one version.",
    headers: { [protocolHeader]: String(protocolVersion) },
  };
}

const routeUnknown: RefusalOf = {
  status: 404,
  code: "route-unknown",
  says: "The hub has nothing at this address.",
  mend: "Bring the app on this device up to date.",
};

const storageFailed: RefusalOf = {
  status: 503,
  code: "storage-failed",
  says: "The hub could not write to its disk; nothing of this request was kept.",
  mend: "Go on: the entries are safe on this device and go out again. Tell whoever runs the hub.",
};

const hubFailed: RefusalOf = {
  status: 500,
  code: "hub-failed",
  says: "The hub failed at this request; that is a fault of its own.",
  mend: "Go on: the entries are safe on this device and go out again. Tell whoever runs the hub.",
};

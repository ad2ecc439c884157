// GET of everything else: the built app.
//
// [static 1] Nothing outside the app's folder is ever answered.
// [static 2] A file whose name carries a digest is kept for ever; any other is asked for anew each time,
//   the service worker first of all, so that a new version is found.
// [static 3] A page's address that is no file gets the app, which finds its own way; a file that is
//   missing gets 404.

import { readFile, stat } from "node:fs/promises";
import { extname, join, normalize, sep } from "node:path";
import { refuse } from "../answer.ts";
import type { Hub, HubContext } from "../hub.ts";

/** Answers what no other route does. Errors: those of the disk, but that a file is missing. */
export async function answerStatic(hub: Hub, c: HubContext): Promise<Response> {
  const path = pathWithin(hub.appFolder, c.req.path);
  const found = path === null ? null : await readAppFile(path);
  if (path !== null && found !== null) return answerFile(c, path, found);
  const wantsPage =
    extname(c.req.path) === "" && (c.req.header("accept") ?? "").includes("text/html");
  const page = join(hub.appFolder, "index.html");
  const app = wantsPage ? await readAppFile(page) : null;
  if (app !== null) return answerFile(c, page, app);
  return refuse(c, wantsPage ? appMissing : fileUnknown);
}

type AppFile = { readonly bytes: Buffer; readonly tag: string };

function answerFile(c: HubContext, path: string, { bytes, tag }: AppFile): Response {
  const headers = { etag: tag, ...cacheHeaders(path) };
  if (c.req.header("if-none-match") === tag) return new Response(null, { status: 304, headers });
  const type = mediaTypes[extname(path)] ?? "application/octet-stream";
  return new Response(new Uint8Array(bytes), {
    headers: { ...headers, "content-type": type, "content-length": String(bytes.length) },
  });
}

// The file of a request's path; null where the path leads out of the folder or is no path at all.
function pathWithin(folder: string, requestPath: string): string | null {
  const decoded = decode(requestPath);
  if (decoded === null || /[\0\\]/.test(decoded)) return null;
  const root = normalize(folder + sep);
  const path = normalize(join(root, decoded.endsWith("/") ? `${decoded}index.html` : decoded));
  return path.startsWith(root) ? path : null;
}

function decode(requestPath: string): string | null {
  try {
    return decodeURIComponent(requestPath);
  } catch {
    return null;
  }
}

async function readAppFile(path: string): Promise<AppFile | null> {
  try {
    const { size, mtimeMs } = await stat(path);
    return { bytes: await readFile(path), tag: `W/"${size.toString(36)}-${mtimeMs.toString(36)}"` };
  } catch (cause) {
    const code: unknown = cause instanceof Error ? Reflect.get(cause, "code") : undefined;
    if (["ENOENT", "ENOTDIR", "EISDIR", "ENAMETOOLONG"].includes(String(code))) return null;
    throw cause;
  }
}

function cacheHeaders(path: string): Readonly<Record<string, string>> {
  if (/[.-][\w-]{8,}\.\w+$/.test(path) && path.includes(`${sep}assets${sep}`)) {
    return { "cache-control": "public, max-age=31536000, immutable" };
  }
  const isServiceWorker = /(service-worker|sw)\.js$/.test(path);
  return {
    "cache-control": "no-cache",
    ...(isServiceWorker ? { "service-worker-allowed": "/" } : {}),
  };
}

const mediaTypes: Readonly<Record<string, string>> = {
  ".css": "text/css; charset=utf-8",
  ".csv": "text/csv; charset=utf-8",
  ".html": "text/html; charset=utf-8",
  ".ico": "image/x-icon",
  ".jpg": "image/jpeg",
  ".js": "text/javascript; charset=utf-8",
  ".json": "application/json; charset=utf-8",
  ".map": "application/json; charset=utf-8",
  ".mjs": "text/javascript; charset=utf-8",
  ".png": "image/png",
  ".svg": "image/svg+xml",
  ".txt": "text/plain; charset=utf-8",
  ".wasm": "application/wasm",
  ".webmanifest": "application/manifest+json",
  ".webp": "image/webp",
  ".woff2": "font/woff2",
};

const fileUnknown = {
  status: 404,
  code: "file-unknown",
  says: "The hub has no such file.",
  mend: "Reload the app.",
} as const;

const appMissing = {
  status: 503,
  code: "app-missing",
  says: "The hub runs, but the app has not been built.",
  mend: "Build it with: npm run build",
} as const;

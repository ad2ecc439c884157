// Messages between pages and the service worker of one device. They only wake and tell; whatever is
// worth keeping is in the store.

import type { RunId } from "../../machines/record/ids.ts";

/** From a page to the service worker. */
export type PageMessage =
  /** Sync now: one run, or every run that is not finished (null). */
  | { readonly type: "sync.wanted"; readonly run: RunId | null }
  /** The waiting version of the app shall take over: a person said so. */
  | { readonly type: "update.take" };

/** From whoever synced, to every page of the device. */
export type SyncMessage =
  | { readonly type: "run.synced"; readonly run: RunId }
  | { readonly type: "run.sync-put-off"; readonly run: RunId; readonly delayMs: number };

/** Name of the channel that carries `SyncMessage`. */
export const syncChannelName = "lanehold:sync";
/** Tag under which the browser's Background Sync wakes the service worker. */
export const backgroundSyncTag = "lanehold:sync";

/** Reads a message of a page; null: it is none of ours. */
export function readPageMessage(value: unknown): PageMessage | null {
  if (typeof value !== "object" || value === null) return null;
  const type: unknown = Reflect.get(value, "type");
  if (type === "update.take") return { type };
  if (type !== "sync.wanted") return null;
  const run: unknown = Reflect.get(value, "run");
  return typeof run === "string" ? { type, run: run as RunId } : { type, run: null };
}

/** Reads a message on the channel; null: it is none of ours. */
export function readSyncMessage(value: unknown): SyncMessage | null {
  if (typeof value !== "object" || value === null) return null;
  const type: unknown = Reflect.get(value, "type");
  const run: unknown = Reflect.get(value, "run");
  const delayMs: unknown = Reflect.get(value, "delayMs");
  if (typeof run !== "string") return null;
  if (type === "run.synced") return { type, run: run as RunId };
  if (type !== "run.sync-put-off" || typeof delayMs !== "number") return null;
  return { type, run: run as RunId, delayMs };
}

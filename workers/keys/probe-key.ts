// Whether this browser can keep a key, found out by keeping one, before a device joins a run.
//
// Some browsers have keys and storage but cannot put the one into the other: private windows, lockdown
// mode, and old versions that store nothing and say nothing.
// [probe-key 1] A browser that keeps a key signs with it after its database was closed and opened again.
// [probe-key 2] Where it does not, the reason is told, and what to do.
// [probe-key 3] Nothing of the probe is left behind.
// [probe-key 4] A storage that never answers is a reason too.

import { createDeviceKey } from "./device-key.ts";
import type { DeviceKey } from "./device-key.ts";
import { createToken } from "./random-token.ts";
import { signText } from "./sign-text.ts";
import { verifyText } from "./verify-text.ts";

/** Why a browser cannot keep a key. */
export type KeyProbeReason =
  /** It makes none: the page came by http, or keys are switched off. */
  | "no-key"
  /** Its database does not open. */
  | "no-storage"
  /** Its database refuses the key, as in private windows and lockdown mode. */
  | "key-refused"
  /** The key is not there after closing and opening. */
  | "key-lost"
  /** The key is there, and does not sign as it should. */
  | "key-dead"
  /** Its database does not answer. */
  | "no-answer";

/** Whether this browser can keep a key; if not, `says` and `mend` are sentences for the person. */
export type KeyProbe =
  | { readonly keeps: true }
  | {
      readonly keeps: false;
      readonly reason: KeyProbeReason;
      readonly says: string;
      readonly mend: string;
    };

/** How long the database may take for one answer, in milliseconds. */
export const probePatienceMs = 10_000;

/**
 * Finds out whether this browser can keep a key until its window is closed. What a private window throws
 * away when it is closed, it keeps until then: for that, see what the storage says of itself.
 *
 * @param factory the browser's `indexedDB`; undefined where it has none
 * @param patienceMs how long each step may take, in milliseconds
 * Errors: none; whatever goes wrong is the answer.
 */
export async function probeKey(
  factory: IDBFactory | undefined,
  patienceMs: number = probePatienceMs,
): Promise<KeyProbe> {
  const made = await attempt(createDeviceKey(), patienceMs);
  if (!made.done) return cannot("no-key");
  if (factory === undefined) return cannot("no-storage");
  // A name of its own, so that two windows that probe at once do not delete each other's database.
  const storage = { factory, name: `lanehold-key-probe-${createToken()}`, patienceMs };
  try {
    return await probeStorage(storage, made.value);
  } finally {
    await attempt(deleteDatabase(storage), patienceMs);
  }
}

type ProbeStorage = {
  readonly factory: IDBFactory;
  readonly name: string;
  readonly patienceMs: number;
};

async function probeStorage(storage: ProbeStorage, key: DeviceKey): Promise<KeyProbe> {
  const { patienceMs } = storage;
  const opened = await attempt(openDatabase(storage), patienceMs);
  if (!opened.done) return cannot(opened.late ? "no-answer" : "no-storage");
  const put = await attempt(putKey(opened.value, key.privateKey), patienceMs);
  opened.value.close();
  if (!put.done) return cannot(put.late ? "no-answer" : "key-refused");
  const reopened = await attempt(openDatabase(storage), patienceMs);
  if (!reopened.done) return cannot(reopened.late ? "no-answer" : "key-lost");
  const kept = await attempt(getKey(reopened.value), patienceMs);
  reopened.value.close();
  if (!kept.done) return cannot(kept.late ? "no-answer" : "key-lost");
  if (kept.value === undefined || kept.value === null) return cannot("key-lost");
  const signs = await attempt(isKeyOf(key, kept.value), patienceMs);
  return signs.done && signs.value ? { keeps: true } : cannot("key-dead");
}

function cannot(reason: KeyProbeReason): KeyProbe {
  return { keeps: false, reason, ...sentences[reason] };
}

const openNormally =
  "Open the page in a window that is not private, with lockdown mode off for this site.";
const sentences: Readonly<
  Record<KeyProbeReason, { readonly says: string; readonly mend: string }>
> = {
  "no-key": {
    says: "This browser makes no keys on this page.",
    mend: "Open the page at its https address.",
  },
  "no-storage": { says: "This browser stores nothing on this page.", mend: openNormally },
  "key-refused": { says: "This browser does not store keys.", mend: openNormally },
  "key-lost": { says: "This browser lost a key that it had just stored.", mend: openNormally },
  "key-dead": {
    says: "This browser cannot use a key that it has stored.",
    mend: "Bring the browser up to date, or take another one.",
  },
  "no-answer": {
    says: "This browser's storage does not answer.",
    mend: "Close all its windows, open the page again, and try once more.",
  },
};

type Attempt<Value> =
  | { readonly done: true; readonly value: Value }
  | { readonly done: false; readonly late: boolean };

// What a promise comes to, within some time.
async function attempt<Value>(work: Promise<Value>, patienceMs: number): Promise<Attempt<Value>> {
  let timer: ReturnType<typeof setTimeout> | undefined;
  const late = new Promise<Attempt<Value>>((resolve) => {
    timer = setTimeout(() => resolve({ done: false, late: true }), patienceMs);
  });
  const ended = work.then(
    (value): Attempt<Value> => ({ done: true, value }),
    (): Attempt<Value> => ({ done: false, late: false }),
  );
  try {
    return await Promise.race([ended, late]);
  } finally {
    clearTimeout(timer);
  }
}

const table = "keys";
const row = "key";

async function openDatabase({ factory, name }: ProbeStorage): Promise<IDBDatabase> {
  const request = factory.open(name, 1);
  request.addEventListener("upgradeneeded", () => {
    request.result.createObjectStore(table);
  });
  const database = await answerOf(request);
  // One that opened too late to be waited for must not stand in the way of the deletion.
  database.addEventListener("versionchange", () => database.close());
  return database;
}

async function deleteDatabase({ factory, name }: ProbeStorage): Promise<void> {
  await answerOf(factory.deleteDatabase(name));
}

function putKey(database: IDBDatabase, key: CryptoKey): Promise<void> {
  return new Promise((resolve, reject) => {
    const transaction = database.transaction(table, "readwrite");
    transaction.addEventListener("complete", () => resolve());
    transaction.addEventListener("abort", () => reject(transaction.error));
    transaction.objectStore(table).put(key, row);
  });
}

async function getKey(database: IDBDatabase): Promise<CryptoKey | null | undefined> {
  const request = database.transaction(table, "readonly").objectStore(table).get(row);
  return (await answerOf(request)) as CryptoKey | null | undefined;
}

function answerOf<Result>(request: IDBRequest<Result>): Promise<Result> {
  return new Promise((resolve, reject) => {
    request.addEventListener("success", () => resolve(request.result));
    request.addEventListener("error", () => reject(request.error));
  });
}

async function isKeyOf(key: DeviceKey, kept: CryptoKey): Promise<boolean> {
  return verifyText(key.publicKey, key.device, await signText(kept, key.device));
}

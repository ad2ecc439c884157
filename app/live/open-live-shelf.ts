// What is on this device, as signals that follow the store; and what can be done with it.
//
// [live-shelf 1] Every act comes to a value or to a refusal with sentences for the person; none throws.
// [live-shelf 2] The hub's procedures are stored at the first visit, and are there without it from then on.
// [live-shelf 3] The lists are read only while somebody looks at them: a tap in a run does not wait for
//   a shelf that nobody sees.

import { signal } from "@preact/signals";
import type { ReadonlySignal, Signal } from "@preact/signals";
import { liveQuery } from "dexie";
import type { Subscription } from "dexie";
import type { Identity, PositionId } from "../../machines/procedure/ids.ts";
import { readProcedure } from "../../machines/procedure/read-procedure.ts";
import type { Role } from "../../machines/record/entry.ts";
import type { DeviceId, RunId } from "../../machines/record/ids.ts";
import { titleCharactersMax } from "../../machines/record/read-entry.ts";
import type { InviteAnswer } from "../../machines/sync/invite.ts";
import { createRecovery } from "../../workers/keys/recovery-key.ts";
import { askInvite, askProcedure, askProcedures } from "../../workers/link/hub-requests.ts";
import type { Database } from "../../workers/store/database.ts";
import { NameRefusedError } from "../../workers/store/name-refused-error.ts";
import { openRun } from "../../workers/store/open-run.ts";
import { isClosed } from "../../workers/store/read-rights.ts";
import {
  readRun,
  readRuns,
  readStoredProcedure,
  unsentOfRun,
} from "../../workers/store/read-run.ts";
import { RunMissingError } from "../../workers/store/run-missing-error.ts";
import { readStorageRoom } from "../../workers/store/storage-room.ts";
import type { StorageRoom } from "../../workers/store/storage-room.ts";
import { nameDevice, readDevice } from "../../workers/store/this-device.ts";
import { writeProcedure } from "../../workers/store/write-procedure.ts";
import { exportRunJson } from "./export-run.ts";
import { takeWaitingUpdate, updateState } from "./follow-update.ts";
import { askByCode, keepJoinedRun } from "./join-run-by-code.ts";
import type { AnsweredCode } from "./join-run-by-code.ts";
import type {
  JoinOffer,
  LiveShelf,
  OpenedRun,
  Outcome,
  ProcedureImport,
  ProcedureOnShelf,
  RunOnShelf,
} from "./live-shelf.ts";
import { liveStore } from "./live-store.ts";
import type { LiveStore } from "./live-store.ts";
import { outcomeOf } from "./outcome-of.ts";
import { recoverRunByCode } from "./recover-run.ts";
import { refusalOf } from "./refusal-of.ts";
import { wakeSync } from "./wake-sync.ts";
import { tellConsole } from "../../workers/link/tell-console.ts";

let shelf: Promise<LiveShelf> | undefined;

/** The shelf of this page. Errors: the store's; it may be tried again. */
export function openLiveShelf(): Promise<LiveShelf> {
  shelf ??= createLiveShelf(liveStore()).catch((cause: unknown) => {
    shelf = undefined;
    throw cause;
  });
  return shelf;
}

/** As `openLiveShelf`, on a store of one's own. Errors: the store's. */
export async function createLiveShelf(store: LiveStore): Promise<LiveShelf> {
  const { database } = store;
  const device = await readDevice(database);
  const deviceName = signal(device.name);
  const hub = signal<"online" | "offline" | "unknown">("unknown");
  const storageState = signal<StorageRoom>(await readStorageRoom(storageManager()));
  const fetchMissing = (): Promise<Outcome<number>> => outcomeOf(() => fetchProcedures(store, hub));
  void fetchMissing();
  wakeSync(store, null);
  return {
    device: device.device,
    deviceName,
    procedures: follow(() => proceduresOnShelf(database)),
    runs: follow(() => runsOnShelf(database, device.device)),
    storageState,
    hub,
    update: updateState,
    readProcedure: async (identity) => (await readStoredProcedure(database, identity)) ?? null,
    nameDevice: (name) => outcomeOf(() => giveName(store, deviceName, name)),
    importProcedure: (text) => importProcedure(store, text),
    fetchProcedures: fetchMissing,
    openRun: (procedure, title, withRecovery) =>
      outcomeOf(() => openHere(store, { procedure, title, withRecovery })),
    askToJoin: (asked) =>
      outcomeOf(async () => {
        await giveName(store, deviceName, asked.deviceName);
        return offerOf(store, await askByCode(store, asked.code, asked.scanned));
      }),
    recoverRun: (code, name) =>
      outcomeOf(async () => {
        await giveName(store, deviceName, name);
        return recoverRunByCode(store, code);
      }),
    invite: (run, role, lane) => outcomeOf(() => inviteTo(store, run, role, lane)),
    exportRunJson: (run) => outcomeOf(() => exportRunJson(database, run)),
    askToKeep: async () => {
      await storageManager()
        ?.persist()
        .catch(() => false);
      storageState.value = await readStorageRoom(storageManager());
    },
    takeUpdate: () =>
      outcomeOf(async () => {
        await takeWaitingUpdate(database, store.readWallMs());
        return true as const;
      }),
  };
}

// A list that follows the store while it is looked at; it is empty until it has first been read.
function follow<Row>(read: () => Promise<readonly Row[]>): ReadonlySignal<readonly Row[]> {
  let following: Subscription | undefined;
  return signal<readonly Row[]>([], {
    watched() {
      following = liveQuery(read).subscribe({
        next: (rows) => {
          this.value = rows;
        },
        error: (cause: unknown) => tellConsole("The shelf no longer follows the store.", cause),
      });
    },
    unwatched: () => following?.unsubscribe(),
  });
}

async function proceduresOnShelf(database: Database): Promise<readonly ProcedureOnShelf[]> {
  const stored = await database.procedures.toArray();
  return stored
    .map(({ identity, procedure, storedAtMs }) => {
      const { id, title, revision, summary } = procedure;
      return { identity, id, title, revision, summary, storedAtMs };
    })
    .toSorted((a, b) => b.storedAtMs - a.storedAtMs || (a.title < b.title ? -1 : 1));
}

async function runsOnShelf(database: Database, device: DeviceId): Promise<readonly RunOnShelf[]> {
  const here = new Set(await database.procedures.toCollection().primaryKeys());
  const rows: RunOnShelf[] = [];
  for (const stored of await readRuns(database)) {
    const { run, title, procedure, role, lane, storedAtMs } = stored;
    const byBundlesOnly = stored.token === null;
    const unsent = await unsentOfRun(database, { run, device });
    const closed = await isClosed(database, run);
    const hasProcedure = here.has(procedure);
    const place = { role, lane, storedAtMs, byBundlesOnly };
    rows.push({ run, title, procedure, ...place, unsent, hasProcedure, closed });
  }
  return rows;
}

async function giveName(
  store: LiveStore,
  deviceName: Signal<string>,
  typed: string,
): Promise<string> {
  const name = checkedText("The name of this device", typed);
  if (name !== deviceName.peek()) await nameDevice(store.database, name);
  deviceName.value = name;
  return name;
}

async function importProcedure(store: LiveStore, text: string): Promise<ProcedureImport> {
  const { procedure, faults } = readProcedure(text);
  if (procedure === null) return { identity: null, faults, refusal: null };
  try {
    const identity = await writeProcedure(store.database, procedure, store.readWallMs());
    return { identity, title: procedure.title, faults: [], refusal: null };
  } catch (cause) {
    return { identity: null, faults: [], refusal: refusalOf(cause) };
  }
}

async function fetchProcedures(
  store: LiveStore,
  hub: Signal<"online" | "offline" | "unknown">,
): Promise<number> {
  let listed;
  try {
    listed = await askProcedures(store.door);
    hub.value = "online";
  } catch (cause) {
    hub.value = "offline";
    throw cause;
  }
  const here = new Set(await store.database.procedures.toCollection().primaryKeys());
  const missing = listed.filter(({ identity }) => !here.has(identity));
  for (const { identity } of missing) {
    const procedure = await askProcedure(store.door, identity, null);
    await writeProcedure(store.database, procedure, store.readWallMs());
  }
  return missing.length;
}

function offerOf(store: LiveStore, answered: AnsweredCode): JoinOffer {
  const { run, title, role, lane } = answered.answer;
  const keep = () => outcomeOf(() => keepJoinedRun(store, answered));
  return { run, title, role, lane, letters: answered.letters, keep };
}

type OpeningAsked = {
  readonly procedure: Identity;
  readonly title: string;
  readonly withRecovery: boolean;
};

async function openHere(store: LiveStore, asked: OpeningAsked): Promise<OpenedRun> {
  const { procedure, withRecovery } = asked;
  const title = checkedText("The title of the run", asked.title);
  const wallMs = store.readWallMs();
  const device = await readDevice(store.database);
  const recovery = withRecovery ? await createRecovery() : null;
  const opening = { procedure, title, device, recovery, wallMs };
  const { run } = await openRun(store.database, opening);
  wakeSync(store, run);
  return { run, recoveryCode: recovery?.code ?? null };
}

async function inviteTo(
  store: LiveStore,
  run: RunId,
  role: Role,
  lane: PositionId | null,
): Promise<InviteAnswer> {
  const token = (await readRun(store.database, run))?.token ?? null;
  if (token === null) throw new RunMissingError();
  return askInvite(store.door, { run, token }, { role, lane });
}

function checkedText(what: string, typed: string): string {
  const text = typed.trim();
  if (text === "" || text.length > titleCharactersMax) {
    throw new NameRefusedError(what, titleCharactersMax);
  }
  return text;
}

function storageManager(): StorageManager | undefined {
  return typeof navigator === "undefined" ? undefined : navigator.storage;
}

// The database of a device: its tables, their keys and their versions.
//
// It is the only truth on the device; all that is shown is computed from it.
// [database 1] Every write goes through `writeDurably`: one explicit transaction, flushed before it
//   counts as done. Dexie's cache is off, for it shows writes before they are committed.
// [database 2] A version's tables and keys, once released, never change; a change is a new version.
// [database 3] The entries of a device in a run are held without a gap from seq 1 to that device's
//   head; what does not fit on is in `setAside`.

import { Dexie } from "dexie";
import type { Table } from "dexie";
import type { Identity, PositionId } from "../../machines/procedure/ids.ts";
import type { InjectScript } from "../../machines/procedure/inject-script.ts";
import type { Procedure } from "../../machines/procedure/procedure.ts";
import type { Entry, Role } from "../../machines/record/entry.ts";
import type { DeviceId, RunId } from "../../machines/record/ids.ts";
import type { PullCursor, SetAsideReport } from "../../machines/sync/pull.ts";
import type { RecoveryDoor } from "../../machines/sync/open.ts";
import type { SignedHead } from "../../machines/sync/signed-head.ts";
import type { DeviceKey } from "../keys/device-key.ts";

/** Name of the database in the browser. */
export const databaseName = "lanehold";

/** The open database. */
export type Database = Dexie & {
  readonly procedures: Table<StoredProcedure, Identity>;
  readonly injectScripts: Table<StoredScript, RunId>;
  readonly runs: Table<StoredRun, RunId>;
  readonly entries: Table<Entry, EntryKey>;
  readonly heads: Table<Head, HeadKey>;
  readonly signedHeads: Table<SignedHead, EntryKey>;
  readonly links: Table<Link, RunId>;
  readonly setAside: Table<SetAside, [...EntryKey, string]>;
  readonly device: Table<Device, "self">;
  readonly settings: Table<Setting, string>;
};

/** Key of an entry. */
export type EntryKey = [run: RunId, device: DeviceId, seq: number];
/** Key of a head. */
type HeadKey = [run: RunId, device: DeviceId];

/** A procedure on this device. */
type StoredProcedure = {
  readonly identity: Identity;
  readonly procedure: Procedure;
  /** This device's clock, milliseconds since 1970. */
  readonly storedAtMs: number;
};

/** A run's inject script, on directors' devices only. */
type StoredScript = { readonly run: RunId; readonly script: InjectScript };

/** A run on this device. */
export type StoredRun = {
  readonly run: RunId;
  readonly title: string;
  readonly procedure: Identity;
  readonly role: Role;
  readonly lane: PositionId | null;
  /** True on the device that opened it, which brings the run to the hub. */
  readonly opener: boolean;
  /** For the opener's device only: what opens the hub's door to the holder of the recovery code. */
  readonly recoveryDoor: RecoveryDoor | null;
  /** Secret that this device shows to the hub for this run; null: the run came by a bundle. */
  readonly token: string | null;
  /** This device's clock, milliseconds since 1970. */
  readonly storedAtMs: number;
};

/** A run for which this device has a secret to show to the hub. */
export type RunAtHub = StoredRun & { readonly token: string };

/** The last entry that is held of a device in a run, without a gap below. */
export type Head = {
  readonly run: RunId;
  readonly device: DeviceId;
  readonly seq: number;
  readonly digest: string;
  /** How often an entry at or below the head was replaced by its fuller self. */
  readonly replacements: number;
  /** For this device's own head only, else empty: what its entries have told so far of others' heads. */
  readonly seenTold: Readonly<Record<DeviceId, number>>;
};

/** How a run stands with the hub. */
export type Link = {
  readonly run: RunId;
  /** The hub knows the run and this device's token. */
  readonly registered: boolean;
  readonly cursor: PullCursor | null;
  /** Own entries that the hub has confirmed: up to this seq. */
  readonly confirmedSeq: number;
  /** This device's clock, milliseconds since 1970; null: never. */
  readonly lastContactMs: number | null;
  /** As `lastContactMs`: when the hub was tried last and did not answer. */
  readonly lastFailureMs: number | null;
  /** Hub's clock, milliseconds since 1970. */
  readonly lastHeardMs: Readonly<Record<DeviceId, number>>;
  /** The latest samples of the hub's clock, oldest first, since this device's clock was last set. */
  readonly samples: readonly ClockSample[];
  /** The sample that was last put into the record; null: none since the clock was last set. */
  readonly recorded: ClockSample | null;
  /** Why the hub refused something, until it takes it; null: it did not. */
  readonly refused: { readonly code: string; readonly says: string } | null;
  /** What the hub set aside, as it told this device; only a director's hears of it. */
  readonly setAside: readonly SetAsideReport[];
  /** How many own entries were written again, because the hub had others under their names. */
  readonly writtenAgain: number;
};

/** What one exchange with the hub told of the clocks. */
export type ClockSample = {
  /** This device's clock when the answer came, milliseconds since 1970. */
  readonly wallMs: number;
  /** Add this to this device's clock to get the hub's. */
  readonly offsetMs: number;
  readonly roundTripMs: number;
};

/** An entry that came in, or stood here, and is not in the record. */
export type SetAside = {
  readonly run: RunId;
  readonly device: DeviceId;
  readonly seq: number;
  readonly digest: string;
  readonly reason: SetAsideReason;
  readonly entry: Entry;
};

/**
 * Why an entry is not in the record: one before it is missing; another has its name; it follows on another
 * entry; its device has not signed it; it was this device's own, and was written again under a new seq.
 */
export type SetAsideReason = "gap" | "fork" | "chain" | "signature" | "written-again";

/** This device and its key, whose private half cannot be read out. */
export type Device = DeviceKey & { readonly key: "self"; readonly name: string };

/** Something that is remembered by name. */
type Setting = { readonly name: string; readonly value: unknown };

/** Tables and keys of version 1. Never to be changed: see [database 2]. */
export const tablesOfVersion1 = {
  procedures: "&identity",
  injectScripts: "&run",
  runs: "&run",
  entries: "&[run+device+seq],[run+body.kind]",
  heads: "&[run+device]",
  signedHeads: "&[run+device+seq]",
  links: "&run",
  setAside: "&[run+device+seq+digest]",
  device: "&key",
  settings: "&name",
} as const;

/**
 * The database; it opens by itself at the first use.
 *
 * When a newer version of the app changes its tables in another window, this one's connection closes
 * and every later use fails with `StoreClosedError`.
 *
 * @param name another one for tests
 */
export function createDatabase(name: string = databaseName): Database {
  const database = new Dexie(name, { chromeTransactionDurability: "strict", cache: "disabled" });
  database.version(1).stores(tablesOfVersion1);
  database.on("versionchange", () => {
    takenOver.add(database);
    database.close();
  });
  return database as Database;
}

/** Whether a newer version of the app, or a deletion, has taken the database from this window. */
export function isTakenOver(database: Database): boolean {
  return takenOver.has(database);
}

const takenOver = new WeakSet<Dexie>();

/** How a run stands with the hub before anything was heard. */
export function emptyLink(run: RunId): Link {
  return {
    run,
    registered: false,
    cursor: null,
    confirmedSeq: 0,
    lastContactMs: null,
    lastFailureMs: null,
    lastHeardMs: {},
    samples: [],
    recorded: null,
    refused: null,
    setAside: [],
    writtenAgain: 0,
  };
}

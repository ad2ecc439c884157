// What the hub keeps, and what it may rely on. Each adapter is held to this by
// tests/unit/workers/hub/storage/record-storage.suite.ts
//
// Definition: a run *lists* an entry under a *place*, a whole number from 1.
// [storage 1] What a call has answered is kept, whatever happens to the process afterwards. (An adapter
//   that keeps nothing on disk says so at its head.)
// [storage 2] Each call happens whole or not at all, and none sees half of another.
// [storage 3] A run's places are gap-free, and an entry that is listed stays at its place: whoever has
//   read up to a place has read everything before it.
// [storage 4] Entries of a device are taken by rising seq from 1 without a gap, each with the digest of
//   the one before as `prev`.
// [storage 5] Taking an entry again that is there with the same digest changes nothing.
// [storage 6] Another entry under a seq that is taken ("fork"), and one whose `prev` is not the digest
//   of the entry before it ("chain"), are set aside with all that follows in the call, not listed.
// [storage 7] Entries that follow on a gap ("gap") are neither taken nor set aside.
// [storage 8] An entry that closes the run lists the run's entries for directors only once more, after it.
// [storage 9] An invitation lets one device in, once, before it expires; the same device with the same
//   token gets the same answer again.
// [storage 10] No token and no code is kept: only their SHA-256 digests.
// [storage 11] Opening a run again by the same device with the same token, title and procedure changes
//   nothing; any other opening under that id is refused.
// [storage 12] The epoch stays as long as the storage does, and no two storages share one.

import type { Identity, InjectId, PositionId } from "../../../machines/procedure/ids.ts";
import type { Entry, EntryName, Role } from "../../../machines/record/entry.ts";
import type { DeviceId, RunId } from "../../../machines/record/ids.ts";
import type { Admission, JoinAnswer } from "../../../machines/sync/join.ts";
import type { ProcedureSummary } from "../../../machines/sync/procedures.ts";

/** What the hub keeps. Errors: `StorageFailedError` from every call, where the disk fails. */
export interface RecordStorage {
  /** Random text that names this storage. */
  readonly epoch: string;

  /** Keeps a procedure; one that is there under its identity stays as it is. */
  putProcedure(procedure: StoredProcedure): Promise<void>;
  /** All procedures, the one that came last first. */
  listProcedures(): Promise<readonly ProcedureSummary[]>;
  /** Its text, or null. */
  readProcedureText(identity: Identity): Promise<string | null>;
  /** Keeps an inject script; one that is there under its identity stays as it is. */
  putInjectScript(script: StoredScriptText): Promise<void>;
  /** The script that came last for procedures of this id, or null. */
  readInjectScript(procedureId: string): Promise<StoredScriptText | null>;

  /** [storage 11] */
  openRun(opening: RunOpening): Promise<"opened" | "run-taken" | "procedure-unknown">;
  /** The run, or null. */
  readRun(run: RunId): Promise<StoredRun | null>;
  /** The device of the run that shows this token, heard of at `nowMs`; or null. */
  hearDevice(run: RunId, tokenDigest: string, nowMs: number): Promise<StoredDevice | null>;
  /** When each device of the run was last heard of. */
  readLastHeardMs(run: RunId): Promise<Readonly<Record<DeviceId, number>>>;
  /** Devices let in by a code that no director's `device.joined` names. */
  readAdmissions(run: RunId): Promise<readonly Admission[]>;

  /** Keeps an invitation. False: that code is in use. */
  invite(invitation: Invitation): Promise<boolean>;
  /** [storage 9] */
  join(joining: Joining): Promise<JoinAnswer | JoinRefusalCode>;

  /** [storage 4] to [storage 8] */
  takeEntries(entries: readonly IncomingEntry[], from: EntriesFrom): Promise<TakeResult>;
  /** Highest seq of each device that has entries in the run. */
  readHave(run: RunId): Promise<Readonly<Record<DeviceId, number>>>;
  /** At most `most` entries listed after that place, by rising place, and the run's highest place. */
  readEntries(run: RunId, after: number, most: number): Promise<ListedEntries>;
  /** The run's highest place; 0 before the first entry. */
  readHead(run: RunId): Promise<number>;
  /** Injects of the run that a director's device fired. */
  readFiredInjects(run: RunId): Promise<ReadonlySet<InjectId>>;
  /** Whether that entry is for directors only; undefined if it is not there. */
  isDirectorOnly(run: RunId, name: EntryName): Promise<boolean | undefined>;
  /** What was set aside of a run, in order of arrival. */
  readSetAside(run: RunId): Promise<readonly SetAsideEntry[]>;

  /** How much there is, for the metrics. */
  count(): Promise<StorageCounts>;
  /** Ends; no call may follow. */
  close(): Promise<void>;
}

/** A procedure's canonical text and what the list shows of it. */
export type StoredProcedure = ProcedureSummary & { readonly text: string };

/** An inject script's canonical text. `procedureId`: the `id` of the procedure that it is for. */
export type StoredScriptText = {
  readonly identity: Identity;
  readonly procedureId: string;
  readonly text: string;
};

/** What opens a run. `nowMs`: the hub's clock, milliseconds since 1970, as everywhere here. */
export type RunOpening = {
  readonly run: RunId;
  readonly title: string;
  readonly procedure: Identity;
  readonly device: DeviceId;
  readonly deviceName: string;
  readonly tokenDigest: string;
  readonly nowMs: number;
};

/** A run. */
export type StoredRun = {
  readonly run: RunId;
  readonly title: string;
  readonly procedure: Identity;
  /** `id` of the procedure. */
  readonly procedureId: string;
  /** Whether a director's `run.closed` was taken. */
  readonly isClosed: boolean;
};

/** A device that may come in at the hub's door. */
export type StoredDevice = {
  readonly run: RunId;
  readonly device: DeviceId;
  readonly role: Role;
  readonly lane: PositionId | null;
  readonly deviceName: string;
};

/** A code that lets one device in. */
export type Invitation = {
  readonly codeDigest: string;
  readonly run: RunId;
  readonly role: Role;
  readonly lane: PositionId | null;
  readonly expiresAtMs: number;
};

/** A device that shows a code. */
export type Joining = {
  readonly codeDigest: string;
  readonly device: DeviceId;
  readonly deviceName: string;
  readonly tokenDigest: string;
  readonly nowMs: number;
};

/**
 * Why a device was not let in: no such code; used by another; too late; the device is in the run with
 * another token; it is in the run with another role or lane.
 */
export type JoinRefusalCode =
  | "code-unknown"
  | "code-used"
  | "code-expired"
  | "device-taken"
  | "device-already-in";

/** An entry that came in, and what the hub found out about it. */
export type IncomingEntry = {
  readonly entry: Entry;
  /** Canonical text. */
  readonly text: string;
  /** Digest of the text. */
  readonly digest: string;
  readonly isDirectorOnly: boolean;
  /** A director's `run.closed`. */
  readonly closesRun: boolean;
  /** The device that a director's `device.joined` names. */
  readonly admits: DeviceId | null;
  /** The inject that a director's `inject.fired` names. */
  readonly fires: InjectId | null;
};

/** Whose entries come in, and when. Every entry of the call is of that run and device. */
export type EntriesFrom = {
  readonly run: RunId;
  readonly device: DeviceId;
  readonly nowMs: number;
};

/** What became of entries that came in. */
export type TakeResult = {
  /** How many were new and taken. */
  readonly taken: number;
  /** How many were set aside that had not been before. */
  readonly setAside: number;
  /** The first that was not taken. Null: all were, or were there. */
  readonly refused: { readonly seq: number; readonly code: RefusedEntryCode } | null;
};

/** Why an entry was not taken; see the rules above. */
export type RefusedEntryCode = "gap" | "fork" | "chain";

/** Entries as a run lists them. */
type ListedEntries = { readonly listed: readonly ListedEntry[]; readonly head: number };

/** An entry at its place. */
export type ListedEntry = {
  readonly place: number;
  readonly entry: Entry;
  readonly digest: string;
  readonly isDirectorOnly: boolean;
};

/** An entry that was set aside: evidence. */
export type SetAsideEntry = {
  readonly device: DeviceId;
  readonly seq: number;
  readonly digest: string;
  readonly text: string;
  readonly code: RefusedEntryCode;
};

/** How much a storage holds. */
export type StorageCounts = {
  readonly runs: number;
  readonly devices: number;
  readonly entries: number;
  readonly setAside: number;
};

// What the hub keeps, and what it may rely on. Each adapter is held to this by
// tests/unit/workers/hub/storage/record-storage.suite.ts
//
// Definition: a run *lists* a segment, or what is unveiled, under a *place*, a whole number from 1.
// [storage 1] What a call has answered is kept, whatever happens to the process afterwards. (An adapter
//   that keeps nothing on disk says so at its head.)
// [storage 2] Each call happens whole or not at all, and none sees half of another, from however many
//   processes the calls come.
// [storage 3] A run's places are gap-free, and what is listed stays at its place: whoever has read up to
//   a place has read everything before it.
// [storage 4] Entries of a device are taken by rising seq from 1 without a gap, each with the digest of
//   the one before as `prev`. Of a segment whose beginning is there already the rest is taken, as a
//   segment of its own.
// [storage 5] Taking a segment again whose entries are there with the same digests changes nothing.
// [storage 6] A segment with another entry under a seq that is taken ("fork"), and one that follows on
//   another entry than the device's last ("chain"), are set aside whole, not listed.
// [storage 7] A segment that follows on a gap ("gap") is neither taken nor set aside.
// [storage 8] A segment that closes the run has the run's entries for directors only listed once more,
//   after it, as unveiled.
// [storage 9] An invitation lets one device in, once, before it expires; the same device with the same
//   token gets the same answer again.
// [storage 10] No token and no code is kept: only their SHA-256 digests.
// [storage 11] Opening a run again by the same device with the same token, title and procedure changes
//   nothing; any other opening under that id is refused.
// [storage 13] A device that a director's entry struck off stays so until one joins it again.
// [storage 14] Of what is set aside at most `setAsideMax` pieces are kept a run, the first ones; what
//   goes beyond is counted only.
// [storage 12] The epoch stays as long as the storage does, and no two storages share one.
// [storage 15] Of [storage 1] this is excepted: when a device was last heard of may be forgotten if the
//   machine loses its power.
// [storage 16] A device that was struck off and shows a code that nobody has used waits to be named again,
//   for what that code lets in.

import type { Identity, InjectId, PositionId } from "../../../machines/procedure/ids.ts";
import type { EntryName, Role } from "../../../machines/record/entry.ts";
import type { DeviceId, RunId } from "../../../machines/record/ids.ts";
import type { Admission, JoinAnswer } from "../../../machines/sync/join.ts";
import type { RecoveryDoor } from "../../../machines/sync/open.ts";
import type { SetAsideReport } from "../../../machines/sync/pull.ts";
import type { HiddenEntry } from "../../../machines/sync/redact-for-role.ts";
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
  takeSegment(segment: IncomingSegment, nowMs: number): Promise<TakeResult>;
  /** Sets aside what bears no good signature. False: there was no room for it, or it was there. */
  setAside(evidence: SetAsideSegment): Promise<boolean>;
  /** Highest seq of each device that has entries in the run. */
  readHave(run: RunId): Promise<Readonly<Record<DeviceId, number>>>;
  /**
   * What is listed after that place, by rising place, up to the segment with which `entriesMost` entries
   * are reached, and the run's highest place.
   */
  readListed(run: RunId, after: number, entriesMost: number): Promise<ListedPage>;
  /** The run's highest place; 0 before the first. */
  readHead(run: RunId): Promise<number>;
  /** Injects of the run that a director's device fired. */
  readFiredInjects(run: RunId): Promise<ReadonlySet<InjectId>>;
  /** Whether that entry is for directors only; undefined if it is not there. */
  isDirectorOnly(run: RunId, name: EntryName): Promise<boolean | undefined>;
  /** What a device is in a run; null: it was not let in. */
  readDevice(run: RunId, device: DeviceId): Promise<StoredDevice | null>;
  /** What was set aside of a run, in order of arrival. */
  readSetAside(run: RunId): Promise<readonly SetAsideSegment[]>;
  /** The same without the segments themselves. */
  readSetAsideReports(run: RunId): Promise<readonly SetAsideReport[]>;

  /**
   * Tells of runs in which *another* process has listed something, sooner or later; some may be left
   * out, so whoever must know looks again now and then. The result ends that.
   */
  watch(tell: (run: RunId) => void): () => void;

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
  /** Its device is a director's, without a token; its code lets one director in, at any time. */
  readonly recovery: RecoveryDoor | null;
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
  /** A director's entry struck it off. */
  readonly isStruckOff: boolean;
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

/** A segment that came in, well formed, with a good signature, and what the hub found out about it. */
export type IncomingSegment = {
  readonly run: RunId;
  readonly device: DeviceId;
  readonly fromSeq: number;
  readonly toSeq: number;
  /** Digest of the entry before the first; null: it begins the chain. */
  readonly prev: string | null;
  /** Of each entry. */
  readonly digests: readonly string[];
  /** Canonical text of the segment from that seq on; from `fromSeq`, of the whole. */
  readonly textFrom: (seq: number) => string;
  /** Of those entries of which the hub must remember something, by rising seq. */
  readonly noted: readonly NotedEntry[];
};

/** An entry of which the hub must remember something. */
export type NotedEntry = {
  readonly seq: number;
  readonly digest: string;
  /** Canonical text of the entry. */
  readonly text: string;
  readonly isDirectorOnly: boolean;
  /** A director's `run.closed`. */
  readonly closesRun: boolean;
  /** The device that a director's `device.joined` names. */
  readonly admits: DeviceId | null;
  /** The device that a director's `device.struck-off` names. */
  readonly strikesOff: DeviceId | null;
  /** The inject that a director's `inject.fired` names. */
  readonly fires: InjectId | null;
};

/** What became of a segment that came in. */
export type TakeResult = {
  /** How many of its entries were new and taken. */
  readonly taken: number;
  /** Why it was not taken, and its first entry that was not. Null: it was, or was there. */
  readonly refused: { readonly seq: number; readonly code: RefusedSegmentCode } | null;
};

/** Why a segment was not taken; see the rules above. */
export type RefusedSegmentCode = "gap" | "fork" | "chain";

/** What a run lists. */
export type ListedPage = { readonly listed: readonly Listed[]; readonly head: number };

/** A segment, or entries that are unveiled, at a place. */
export type Listed =
  | {
      readonly place: number;
      readonly what: "segment";
      /** Canonical text of a `Segment`. */
      readonly text: string;
      /** Its entries that are for directors only. */
      readonly hidden: readonly HiddenEntry[];
    }
  /** `texts`: canonical texts of entries. */
  | { readonly place: number; readonly what: "unveiled"; readonly texts: readonly string[] };

/** A segment that was set aside: evidence. */
export type SetAsideSegment = SetAsideReport & {
  readonly run: RunId;
  /** Digest of its head. */
  readonly digest: string;
  /** Canonical text of the segment as it came. */
  readonly text: string;
};

/** So many pieces that were set aside are kept a run. */
export const setAsideMax = 1_000;

/** How much a storage holds. */
export type StorageCounts = {
  readonly runs: number;
  readonly devices: number;
  readonly entries: number;
  readonly setAside: number;
};

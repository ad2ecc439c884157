// What is on this device, as screens see it: procedures, runs, room, name; and what can be done with
// it. The shelf is one for the whole page; `use-shelf.ts` opens it.

import type { ReadonlySignal } from "@preact/signals";
import type { Fault } from "../../machines/procedure/fault.ts";
import type { Identity, PositionId } from "../../machines/procedure/ids.ts";
import type { Procedure } from "../../machines/procedure/procedure.ts";
import type { Role } from "../../machines/record/entry.ts";
import type { DeviceId, RunId } from "../../machines/record/ids.ts";
import type { InviteAnswer } from "../../machines/sync/invite.ts";
import type { StorageRoom } from "../../workers/store/storage-room.ts";
import type { TapRefusal } from "./live-run.ts";

/** Everything on this device and every act on it that is not a tap in a run. */
export type LiveShelf = {
  readonly device: DeviceId;
  readonly deviceName: ReadonlySignal<string>;
  /** Newest first. */
  readonly procedures: ReadonlySignal<readonly ProcedureOnShelf[]>;
  /** Newest first. */
  readonly runs: ReadonlySignal<readonly RunOnShelf[]>;
  readonly storageState: ReadonlySignal<StorageRoom>;
  /** Whether the hub answered when it was last asked for its procedures; `unknown`: not asked yet. */
  readonly hub: ReadonlySignal<"online" | "offline" | "unknown">;
  /** A new version of the app waits; see `app-update.ts`. */
  readonly update: ReadonlySignal<"none" | "ready" | "taking">;

  /** The whole procedure; null: not on this device. */
  readonly readProcedure: (identity: Identity) => Promise<Procedure | null>;
  /** Gives this device the name that others will read; 1 to 200 characters. */
  readonly nameDevice: (name: string) => Promise<Outcome<string>>;
  /** Stores a procedure from its text; with any fault, nothing changes. */
  readonly importProcedure: (text: string) => Promise<ProcedureImport>;
  /** Asks the hub for procedures that are not here yet and stores them; how many came. */
  readonly fetchProcedures: () => Promise<Outcome<number>>;
  /** Opens a run with this device as its first director. Works without a hub. */
  readonly openRun: (
    procedure: Identity,
    title: string,
    withRecovery: boolean,
  ) => Promise<Outcome<OpenedRun>>;
  /** Asks to be let into a run by a code. Needs the hub; keeps nothing of the run until `keep`. */
  readonly askToJoin: (asked: JoinAsked) => Promise<Outcome<JoinOffer>>;
  /** Takes a lost director’s place by a run’s recovery code. Needs the hub. */
  readonly recoverRun: (code: string, deviceName: string) => Promise<Outcome<RunId>>;
  /** A code that lets one more device into a run. Needs the hub, and this device to be a director's. */
  readonly invite: (
    run: RunId,
    role: Role,
    lane: PositionId | null,
  ) => Promise<Outcome<InviteAnswer>>;
  /** The run's record, with its procedure, as a JSON text. */
  readonly exportRunJson: (run: RunId) => Promise<Outcome<string>>;
  /** Asks the browser to keep the store; the answer shows in `storageState`. */
  readonly askToKeep: () => Promise<void>;
  /** Takes the new version of the app and reloads; refused while a run is open on this device. */
  readonly takeUpdate: () => Promise<Outcome<true>>;
};

/** A run that was opened. */
export type OpenedRun = {
  readonly run: RunId;
  /** Shown this once and kept nowhere: twenty letters; null: none was asked for. */
  readonly recoveryCode: string | null;
};

/** A code, and by which name this device joins. */
export type JoinAsked = {
  readonly code: string;
  readonly deviceName: string;
  /** The run that was scanned with the code; null: the code was typed. */
  readonly scanned: RunId | null;
};

/** A run that lets this device in. */
export type JoinOffer = {
  readonly run: RunId;
  readonly title: string;
  readonly role: Role;
  readonly lane: PositionId | null;
  /** Check letters of the device that opened the run: "KLMN-PQRS". The director’s screen shows them. */
  readonly letters: string;
  /** Keeps the run on this device. */
  readonly keep: () => Promise<Outcome<RunId>>;
};

/** A procedure as the shelf shows it. */
export type ProcedureOnShelf = {
  readonly identity: Identity;
  readonly id: string;
  readonly title: string;
  readonly revision: string;
  readonly summary: string;
  /** This device's clock, milliseconds since 1970. */
  readonly storedAtMs: number;
};

/** A run as the shelf shows it. */
export type RunOnShelf = {
  readonly run: RunId;
  readonly title: string;
  readonly procedure: Identity;
  readonly role: Role;
  readonly lane: PositionId | null;
  /** This device's clock, milliseconds since 1970: when it was opened or joined here. */
  readonly storedAtMs: number;
  /** Own entries that the hub has not confirmed. */
  readonly unsent: number;
  /** This device has not joined it at a hub. */
  readonly byBundlesOnly: boolean;
  /** False: its procedure has not reached this device yet. */
  readonly hasProcedure: boolean;
  /** A `run.closed` is in the record. */
  readonly closed: boolean;
};

/** What an act came to: a value, or why not. */
export type Outcome<Value> =
  | { readonly value: Value; readonly refusal: null }
  | { readonly value: null; readonly refusal: TapRefusal };

/** What bringing in a procedure came to. */
export type ProcedureImport =
  | {
      readonly identity: Identity;
      readonly title: string;
      readonly faults: readonly [];
      readonly refusal: null;
    }
  | {
      readonly identity: null;
      readonly faults: readonly Fault[];
      readonly refusal: TapRefusal | null;
    };

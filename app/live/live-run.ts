// A run as screens see it: signals that follow the store, and the one act `take`.

import type { ReadonlySignal } from "@preact/signals";
import type { PositionId } from "../../machines/procedure/ids.ts";
import type { InjectScript } from "../../machines/procedure/inject-script.ts";
import type { Procedure } from "../../machines/procedure/procedure.ts";
import type { ProcedureIndex } from "../../machines/procedure/procedure-index.ts";
import type { Entry, EntryBody, Role } from "../../machines/record/entry.ts";
import type { DeviceId, RunId } from "../../machines/record/ids.ts";
import type { RunState } from "../../machines/record/run-state.ts";
import type { FollowedSetAside } from "./follow-set-aside.ts";

/** A run that is open on this device. */
export type LiveRun = {
  readonly run: RunId;
  readonly procedure: Procedure;
  readonly index: ProcedureIndex;
  /** Null on devices that are not a director's, or where the hub has none. */
  readonly injectScript: ReadonlySignal<InjectScript | null>;
  readonly me: ThisDevice;
  readonly entries: ReadonlySignal<readonly Entry[]>;
  readonly state: ReadonlySignal<RunState>;
  /** The hub's time as this device knows it, milliseconds since 1970; moves on every second. */
  readonly nowMs: ReadonlySignal<number>;
  readonly link: ReadonlySignal<LinkState>;
  /** What was set aside, and which of it a person has seen. */
  readonly setAside: FollowedSetAside;
  /** The device that a recovery code opens; null: none was made. */
  readonly recovery: ReadonlySignal<DeviceId | null>;
  /** The last tap that could not be kept, until `dismissRefusal`. */
  readonly refusal: ReadonlySignal<TapRefusal | null>;
  /**
   * Puts one entry into the record. Resolves once it is durably stored on this device; the signals
   * show it by then. Resolves to false if it could not be stored: `refusal` then says why.
   */
  readonly take: (body: EntryBody, position: PositionId | null) => Promise<boolean>;
  readonly dismissRefusal: () => void;
};

/** Who this device is in the run. */
export type ThisDevice = {
  readonly device: DeviceId;
  readonly name: string;
  readonly role: Role;
  readonly lane: PositionId | null;
};

/** How this device stands with the hub. */
export type LinkState = {
  /**
   * `online`: spoke to the hub within the last seconds; `offline`: the last tries failed; `unknown`: none
   * yet; `none`: this device has not joined the run at a hub, and hears of it by bundles only.
   */
  readonly hub: "online" | "offline" | "unknown" | "none";
  /** This device's clock; null: never. */
  readonly lastContactMs: number | null;
  /** Own entries that the hub has not confirmed. */
  readonly unsent: number;
  /** When each device last spoke to the hub, on the hub's clock. */
  readonly lastHeardMs: Readonly<Record<DeviceId, number>>;
  /** What the hub refused last, until it takes it; null: nothing. */
  readonly refused: { readonly code: string; readonly says: string } | null;
  /** How many own entries were written again, because this device had been put back to an older copy. */
  readonly writtenAgain: number;
};

/** A tap that could not be kept. */
export type TapRefusal = { readonly says: string; readonly mend: string };

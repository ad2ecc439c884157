// The entry: one fact that somebody put into a run's record.
//
// [entry 1] Entries are never edited or deleted; what was a mis-tap is withdrawn by a further
//   entry.
// [entry 2] (run, device, seq) names an entry; seq starts at 1 and has no gap within device and
//   run.
// [entry 3] `prev` is the digest of the same device's entry before; null for seq 1.
// [entry 4] `seen` holds, for each other device of which the author had heard more since its own
//   entry before, the highest seq it had heard. What it had seen altogether is the maximum over its
//   entries so far.

import type {
  BranchId,
  CheckId,
  GateId,
  Identity,
  InjectId,
  ItemId,
  PositionId,
  ReadingId,
  StepId,
  TaskId,
} from "../procedure/ids.ts";
import type { Unit } from "../units/quantity.ts";
import type { Place } from "../procedure/place.ts";
import type { InjectTrigger } from "../procedure/inject-script.ts";
import type { DeviceId, HoldId, PublicKeyText, RunId } from "./ids.ts";

/** One entry of a record. */
export type Entry = {
  readonly run: RunId;
  readonly device: DeviceId;
  readonly seq: number;
  /** Digest of the entry before (64 hexadecimal digits); null for the first. */
  readonly prev: string | null;
  /** The device's wall clock, milliseconds since 1970; may be wrong by hours. */
  readonly wallMs: number;
  readonly seen: Readonly<Record<DeviceId, number>>;
  /** For whom the entry was made; null where it concerns no position. The device says by whom. */
  readonly position: PositionId | null;
  readonly body: EntryBody;
};

/** Names an entry within its run. */
export type EntryName = { readonly device: DeviceId; readonly seq: number };

/** Roles that a device can have in a run. */
export type Role = "director" | "reader" | "crew" | "support" | "observer";

/** What an entry says; `kind` is `noun.past-participle`. */
export type EntryBody =
  | RunEntryBody
  | DeviceEntryBody
  | StepEntryBody
  | GateEntryBody
  | HoldEntryBody
  | InjectEntryBody
  | RemarkEntryBody
  | ClockEntryBody;

/** The kinds of entries. */
export type EntryKind = EntryBody["kind"];

/** A spare director's key, locked by a code that was shown once, when the run was opened. */
export type Recovery = {
  /** Fingerprint of the key. */
  readonly device: DeviceId;
  readonly key: PublicKeyText;
  /** The private key, wrapped by the code: base64url. */
  readonly wrapped: string;
};

/** What becomes of the run as a whole. */
export type RunEntryBody =
  | {
      /** First entry of a run. Its author is the first director. */
      readonly kind: "run.opened";
      readonly procedure: Identity;
      readonly title: string;
      readonly deviceName: string;
      /** The key that a recovery code opens; whoever has it is a director. Null: none was made. */
      readonly recovery: Recovery | null;
    }
  | { readonly kind: "run.started" }
  | { readonly kind: "run.terminated"; readonly reason: string }
  | { readonly kind: "run.aborted"; readonly reason: string }
  | { readonly kind: "run.real-stop-called"; readonly reason: string }
  | { readonly kind: "run.real-stop-acknowledged" }
  | { readonly kind: "run.resumed"; readonly reason: string }
  | { readonly kind: "run.closing-started" }
  | { readonly kind: "run.closed" };

/** Who takes part. Written by a director's device. */
export type DeviceEntryBody =
  | {
      readonly kind: "device.joined";
      readonly joined: DeviceId;
      readonly role: Role;
      /** The position whose lane is this device's own; null for director and observer. */
      readonly lane: PositionId | null;
      readonly deviceName: string;
    }
  | { readonly kind: "device.struck-off"; readonly struckOff: DeviceId; readonly reason: string };

/** What becomes of a step. */
export type StepEntryBody =
  | { readonly kind: "step.started"; readonly step: StepId }
  | { readonly kind: "step.done"; readonly step: StepId }
  | { readonly kind: "step.partly-done"; readonly step: StepId; readonly remains: string }
  | { readonly kind: "step.deferred"; readonly step: StepId; readonly reason: string }
  | { readonly kind: "step.not-performed"; readonly step: StepId; readonly reason: string }
  | { readonly kind: "branch.chosen"; readonly step: StepId; readonly branch: BranchId };

type GateName = { readonly step: StepId; readonly gate: GateId };

/** What becomes of a gate. */
export type GateEntryBody =
  | (GateName & { readonly kind: "gate.acknowledged" })
  | (GateName & { readonly kind: "gate.readback-confirmed" })
  | (GateName & { readonly kind: "gate.go-given" })
  | (GateName & { readonly kind: "gate.count-reported"; readonly count: number })
  | (GateName & {
      readonly kind: "gate.reading-reported";
      readonly value: number;
      readonly unit: Unit;
    })
  | (GateName & { readonly kind: "gate.overridden"; readonly reason: string });

/** What a hold covers. */
export type HoldScope =
  | { readonly covers: "everyone" }
  | { readonly covers: "lane"; readonly lane: PositionId }
  | { readonly covers: "task"; readonly task: TaskId };

/** What becomes of a hold. */
export type HoldEntryBody =
  | {
      readonly kind: "hold.raised";
      readonly scope: HoldScope;
      readonly reason: string;
      /** The inject that raised it; null: a real one. */
      readonly inject: InjectId | null;
    }
  | { readonly kind: "hold.acknowledged"; readonly hold: HoldId; readonly lane: PositionId }
  | { readonly kind: "hold.released"; readonly hold: HoldId }
  | { readonly kind: "hold.requested"; readonly reason: string };

/** What becomes of an inject. `inject.armed` goes to directors' devices only. */
export type InjectEntryBody =
  | {
      readonly kind: "inject.armed";
      readonly inject: InjectId;
      readonly trigger: InjectTrigger;
    }
  | {
      readonly kind: "inject.fired";
      readonly inject: InjectId;
      readonly name: string;
      readonly card: string;
      readonly shownTo: readonly PositionId[];
    }
  | { readonly kind: "inject.responded"; readonly inject: InjectId; readonly text: string }
  | {
      readonly kind: "inject.graded";
      readonly inject: InjectId;
      readonly grade: "met" | "partly-met" | "not-met";
      readonly remark: string;
    }
  | { readonly kind: "inject.cleared"; readonly inject: InjectId };

/** What somebody saw, read or thought; and what they take back. */
export type RemarkEntryBody =
  | {
      readonly kind: "check.recorded";
      readonly check: CheckId;
      readonly readings: Readonly<Record<ReadingId, number>>;
    }
  | { readonly kind: "item.sighted"; readonly item: ItemId; readonly at: Place }
  | {
      readonly kind: "note.added";
      readonly text: string;
      readonly step: StepId | null;
      /** An oddity: small, strange, and not to be made normal. */
      readonly oddity: boolean;
    }
  | { readonly kind: "entry.withdrawn"; readonly withdrawn: EntryName; readonly reason: string };

/** What a device learned of its clock; and the stand-in for an entry that it may not read yet. */
export type ClockEntryBody =
  | {
      readonly kind: "clock.sampled";
      /** Add this to the wall clock to get the hub's time. */
      readonly offsetMs: number;
      readonly roundTripMs: number;
    }
  | {
      /** The wall clock was set: by this much more than the monotonic clock went. */
      readonly kind: "clock.jumped";
      readonly byMs: number;
    }
  | {
      /** Stands for an entry that only directors may read for now; changes nothing. */
      readonly kind: "entry.withheld";
      readonly digest: string;
    };

// The inject script: off-nominal cases for one procedure. For directors only.
//
// It is a document of its own so that no other device ever needs to hold it.
// [inject-script 1] Nothing of an inject is in the procedure or in any document that crew devices
//   get.

import type { Identity, InjectId, PositionId, StepId } from "./ids.ts";

/** The format's name, first field of every inject script. */
export const injectScriptFormat = "lanehold.inject-script";
/** The newest version of the format that this code reads and the one that it writes. */
export const injectScriptFormatVersion = 1;

/** A whole inject script, validated. */
export type InjectScript = {
  readonly format: typeof injectScriptFormat;
  readonly formatVersion: number;
  readonly title: string;
  /** `id` of the procedure that it is for. */
  readonly procedureId: string;
  readonly injects: readonly Inject[];
};

/** One off-nominal case. */
export type Inject = {
  readonly id: InjectId;
  readonly name: string;
  /** What the crew is shown when it goes live; always drawn under the word SIMULATED. */
  readonly card: string;
  /** Positions that are shown the card. */
  readonly shownTo: readonly PositionId[];
  /** For the director: how to play it. */
  readonly playing: string;
  readonly suggestedTrigger: InjectTrigger;
  /** Whom it puts on hold when it goes live; null: nobody. */
  readonly holds: "everyone" | { readonly lane: PositionId } | null;
  readonly expectedResponse: readonly ExpectedResponse[];
};

/** When the director means to fire it. */
export type InjectTrigger =
  | { readonly step: StepId }
  | { readonly atSeconds: number }
  | { readonly byHand: true };

/** One thing that is expected of somebody after the inject. */
export type ExpectedResponse = {
  readonly by: PositionId;
  readonly text: string;
  /** Within this many seconds from live; null: no limit. */
  readonly withinSeconds: number | null;
};

/** An inject script that was brought in, with the identity of its text. */
export type StoredInjectScript = { readonly identity: Identity; readonly script: InjectScript };

// Injects as the director sees them: the script, and what has become of each case.
//
// [inject-view 1] Every case of the script and every case of the record is there once; what the
//   record says goes before the script.
// [inject-view 2] A case is due once its trigger has come and it is not live yet.

import type { InjectId, PositionId } from "../procedure/ids.ts";
import type {
  ExpectedResponse,
  Inject,
  InjectScript,
  InjectTrigger,
} from "../procedure/inject-script.ts";
import type { ProcedureIndex } from "../procedure/procedure-index.ts";
import type { HoldScope } from "../record/entry.ts";
import type { InjectInRun, InjectState, RunState } from "../record/run-state.ts";
import { authorWords } from "./entry-words.ts";
import { formatPet } from "./format-time.ts";
import { positionName, scopeWords, stepName } from "./words.ts";

/** One case. */
export type InjectView = {
  readonly inject: InjectId;
  readonly name: string;
  readonly card: string;
  readonly shownTo: readonly PositionId[];
  /** The same by name: "EV1, EV2". */
  readonly shownToWords: string;
  /** How to play it; null: typed on the spot. */
  readonly playing: string | null;
  /** "at EV1 step 5", "at PET 0:35:00", "by hand"; null: typed on the spot. */
  readonly trigger: string | null;
  readonly isDue: boolean;
  /** Whom it puts on hold when it goes live; null: nobody. */
  readonly holds: HoldScope | null;
  readonly holdsWords: string;
  readonly state: InjectState;
  readonly liveSeconds: number | null;
  readonly expected: readonly ExpectedView[];
  readonly responses: readonly ResponseView[];
  readonly grade: InjectInRun["grade"];
  readonly remark: string;
};

/** A response that the script expects. */
export type ExpectedView = {
  readonly position: PositionId;
  readonly by: string;
  readonly text: string;
  readonly withinSeconds: number | null;
};

/** A response that somebody noted. */
type ResponseView = {
  readonly from: string;
  readonly text: string;
  /** Seconds from the moment when the case went live. */
  readonly afterSeconds: number;
};

/**
 * All cases: live ones first, then those to come, then those that are over.
 *
 * @param script null: none on this device
 */
export function injectViews(
  index: ProcedureIndex,
  script: InjectScript | null,
  state: RunState,
  nowMs: number,
): readonly InjectView[] {
  const scripted = script?.injects ?? [];
  const known = new Set<string>(scripted.map((inject) => inject.id));
  const recorded = Object.entries(state.injects) as [InjectId, InjectInRun][];
  const ground = { index, state, nowMs };
  return [
    ...scripted.map((inject) => injectView(ground, inject.id, inject)),
    ...recorded.filter(([id]) => !known.has(id)).map(([id]) => injectView(ground, id, null)),
  ].toSorted((a, b) => ranks[a.state] - ranks[b.state]);
}

type Ground = {
  readonly index: ProcedureIndex;
  readonly state: RunState;
  readonly nowMs: number;
};

const ranks: Readonly<Record<InjectState, number>> = {
  live: 0,
  responded: 0,
  armed: 1,
  scripted: 1,
  cleared: 2,
};

function injectView(ground: Ground, id: InjectId, inject: Inject | null): InjectView {
  const { index, state, nowMs } = ground;
  const inRun = state.injects[id];
  const shownTo = (inRun?.shownTo.length ?? 0) > 0 ? inRun?.shownTo : inject?.shownTo;
  const injectState = inRun?.state ?? "scripted";
  const holds = inject === null ? null : scopeOf(inject);
  return {
    inject: id,
    name: inRun?.name || inject?.name || id,
    card: inRun?.card || inject?.card || "",
    shownTo: shownTo ?? [],
    shownToWords: (shownTo ?? []).map((position) => positionName(index, position)).join(", "),
    playing: inject?.playing ?? null,
    trigger: inject === null ? null : triggerWords(index, inject.suggestedTrigger),
    isDue:
      inject !== null &&
      (injectState === "scripted" || injectState === "armed") &&
      hasCome(ground, inject.suggestedTrigger),
    holds,
    holdsWords: holds === null ? "Holds nobody" : `Holds ${scopeWords(index, holds)}`,
    state: injectState,
    liveSeconds: liveSeconds(inRun, state.closedAtMs ?? nowMs),
    expected: (inject?.expectedResponse ?? []).map((response) => expectedView(index, response)),
    responses: responseViews(ground, inRun),
    grade: inRun?.grade ?? null,
    remark: inRun?.remark ?? "",
  };
}

function scopeOf(inject: Inject): HoldScope | null {
  if (inject.holds === null) return null;
  if (inject.holds === "everyone") return { covers: "everyone" };
  return { covers: "lane", lane: inject.holds.lane };
}

function triggerWords(index: ProcedureIndex, trigger: InjectTrigger): string {
  if ("step" in trigger) return `at ${stepName(index, trigger.step)}`;
  if ("atSeconds" in trigger) return `at PET ${formatPet(trigger.atSeconds)}`;
  return "by hand";
}

function hasCome({ state, nowMs }: Ground, trigger: InjectTrigger): boolean {
  if ("byHand" in trigger || state.startedAtMs === null) return false;
  if ("step" in trigger) return state.steps[trigger.step]?.state === "working";
  return nowMs - state.startedAtMs >= trigger.atSeconds * 1000;
}

function expectedView(index: ProcedureIndex, response: ExpectedResponse): ExpectedView {
  return {
    position: response.by,
    by: positionName(index, response.by),
    text: response.text,
    withinSeconds: response.withinSeconds,
  };
}

function liveSeconds(inRun: InjectInRun | undefined, untilMs: number): number | null {
  if (inRun === undefined || inRun.liveAtMs === null) return null;
  return Math.max(0, (inRun.clearedAtMs ?? untilMs) - inRun.liveAtMs) / 1000;
}

function responseViews(
  { index, state }: Ground,
  inRun: InjectInRun | undefined,
): readonly ResponseView[] {
  return (inRun?.responses ?? []).map((response) => ({
    from: authorWords(index, state, response),
    text: response.text,
    afterSeconds: Math.max(0, response.atMs - (inRun?.liveAtMs ?? response.atMs)) / 1000,
  }));
}

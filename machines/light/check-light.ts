// Steps that need light, and whether any light is long enough for them.
//
// [check-light 1] A step that needs light for longer than the longest light lasts is a fault if already its
//   likely duration is too long, and a doubt if only its longest is.

import type { ProcedureIndex } from "../procedure/procedure-index.ts";
import { placeOf } from "../plan/finding.ts";
import type { Finding } from "../plan/finding.ts";
import { stepWords } from "../plan/plan-words.ts";

/** Findings about light. When the light comes is the time check's. Errors: none. */
export function checkLight(index: ProcedureIndex): readonly Finding[] {
  return index.procedure.steps.flatMap(({ id, needsWindows, duration, lane }): Finding[] => {
    const light = needsWindows.flatMap((window) => index.windowsById.get(window) ?? []);
    const spans = light.filter(({ sort }) => sort === "light").flatMap((window) => window.spans);
    if (!light.some(({ sort }) => sort === "light")) return [];
    const longest = Math.max(0, ...spans.map((span) => span.toSeconds - span.fromSeconds));
    if (duration.maxSeconds <= longest) return [];
    const isFault = duration.likelySeconds > longest;
    const seconds = isFault ? duration.likelySeconds : duration.maxSeconds;
    return [
      {
        kind: "light-missing",
        grade: isFault ? "fault" : "doubt",
        where: placeOf({ steps: [id], positions: [lane] }),
        says: `${stepWords(index, id)} needs light for ${isFault ? "likely" : "up to"} ${Math.round(seconds / 60)} min; the longest light lasts ${Math.round(longest / 60)} min.`,
        witness: null,
        mend: { says: "Split the step, or bring light.", edits: [] },
        onlyWith: [],
      },
    ];
  });
}

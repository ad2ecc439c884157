// Planned times: when each step would start and end at its likely duration.

import type { TaskId } from "../procedure/ids.ts";
import type { ProcedureIndex } from "../procedure/procedure-index.ts";
import { earliestTimes } from "./earliest-times.ts";
import type { Timetable } from "./earliest-times.ts";

/**
 * The planned start and end of every step, in seconds from the run's start: the earliest that lane
 * order, `after`, meets, windows and the clocks' least times allow at likely durations.
 *
 * @param tasksInPlay contingency tasks that count as in play; without them only the steps that are
 *   in play from the beginning have planned times
 * Errors: none; a circle is reported in the answer.
 * Source: see `earliestTimes`. Checked by hand in tests/unit/machines/time/planned-times.test.ts
 */
export function plannedTimes(
  index: ProcedureIndex,
  tasksInPlay: ReadonlySet<TaskId> = new Set(),
): Timetable {
  return earliestTimes(index, {
    isInPlay: (step) => !index.contingencySteps.has(step.id) || tasksInPlay.has(step.task),
    durationSeconds: (step) => step.duration.likelySeconds,
    knownStartSeconds: () => null,
    knownEndSeconds: () => null,
    notBeforeSeconds: 0,
  });
}

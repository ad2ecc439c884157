// Which contingency tasks may be in play together.
//
// Definition: a *play* is one way in which the choices of a plan may come out.
// [plays 1] The plan without contingencies comes first; then each task by itself, with what has to be
//   in play for its choice to be reached; then as many together as the choices allow.
// [plays 2] Every contingency task that a choice names is in some play.

import type { TaskId } from "../procedure/ids.ts";
import type { ProcedureIndex } from "../procedure/procedure-index.ts";

/** Tasks in play besides those that always are. */
export type Play = readonly TaskId[];

/** The plays that are checked. Errors: none. */
export function playsOf(index: ProcedureIndex): readonly Play[] {
  const choices = index.procedure.steps.flatMap((step) =>
    step.choice === null ? [] : [{ task: step.task, branches: step.choice.branches }],
  );
  const callers = new Map<TaskId, TaskId>();
  for (const { task, branches } of choices) {
    for (const branch of branches) {
      if (branch.task !== null && !callers.has(branch.task)) callers.set(branch.task, task);
    }
  }
  const alone = [...callers.keys()].map((task) => withCallers(index, callers, task));
  const widest = Math.max(0, ...choices.map(({ branches }) => branches.length));
  const together = Array.from({ length: widest }, (_, turn) => [
    ...new Set(
      choices.flatMap(({ branches }) => {
        const tasks = branches.flatMap((branch) => branch.task ?? []);
        const task = tasks[Math.min(turn, tasks.length - 1)];
        return task === undefined ? [] : [task];
      }),
    ),
  ]);
  const plays = [[], ...alone, ...together].map((play) => [...play].sort());
  return [...new Map(plays.map((play) => [play.join(" "), play])).values()];
}

/** Contingency tasks that no choice names. Errors: none. */
export function tasksNotCalled(index: ProcedureIndex): readonly TaskId[] {
  const called = new Set(
    index.procedure.steps.flatMap((step) =>
      (step.choice?.branches ?? []).flatMap((branch) => branch.task ?? []),
    ),
  );
  return index.procedure.tasks
    .filter((task) => task.contingency && !called.has(task.id))
    .map(({ id }) => id);
}

// The choice that names a task may itself stand in a contingency task.
function withCallers(
  index: ProcedureIndex,
  callers: ReadonlyMap<TaskId, TaskId>,
  task: TaskId,
): readonly TaskId[] {
  const play: TaskId[] = [];
  let at: TaskId | undefined = task;
  while (at !== undefined && index.tasksById.get(at)?.contingency === true && !play.includes(at)) {
    play.push(at);
    at = callers.get(at);
  }
  return play;
}

// Which contingency tasks may be in play together.
//
// Definition: a *play* is one way in which the choices of a plan may come out.
// [plays 1] The plan without contingencies comes first; then each task by itself, with what has to be
//   in play for its choice to be reached; then as many together as the choices allow.
// [plays 2] Every contingency task that a choice names is in some play.
// [plays 3] Contingency tasks are *apart* if each has its steps in one lane, waits for no other lane and
//   holds none up, and changes only items that hold nothing and hardware, none of which another one names. Then what is wrong in a play of some of
//   them is wrong in the play of all of them too.

import type { TaskId } from "../procedure/ids.ts";
import type { ProcedureIndex } from "../procedure/procedure-index.ts";
import type { Effect } from "../procedure/step.ts";

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

/** Whether the contingency tasks are apart; see [plays 3]. Errors: none. */
export function areApart(index: ProcedureIndex): boolean {
  const { steps, items } = index.procedure;
  const waitedFor = new Set(steps.flatMap(({ after }) => after));
  const places = steps.flatMap(({ effects }) =>
    effects.flatMap((effect) => (effect.kind === "item-moved" ? [effect.to] : [])),
  );
  const holders = new Set<string>();
  for (const place of [...items.map(({ startsAt }) => startsAt), ...places]) {
    if ("item" in place) holders.add(place.item);
  }
  const changedBy = new Map<string, TaskId>();
  const own = steps.filter(({ id }) => index.contingencySteps.has(id));
  const lanes = new Map<TaskId, string>();
  for (const { id, task, lane, after, meet, effects } of own) {
    if (after.length > 0 || meet !== null || waitedFor.has(id)) return false;
    if ((lanes.get(task) ?? lane) !== lane) return false;
    lanes.set(task, lane);
    for (const thing of effects.map(changedThing)) {
      if (thing === null || holders.has(thing)) return false;
      if ((changedBy.get(thing) ?? task) !== task) return false;
      changedBy.set(thing, task);
    }
  }
  return own.every((step) => {
    const named = idsNamed([step.requires, step.effects, step.fasteners]);
    return named.every((thing) => (changedBy.get(thing) ?? step.task) === step.task);
  });
}

// What an effect changes and nothing else hangs on; null for persons, tethers, restraints and arms, on
// which everything does.
function changedThing(effect: Effect): string | null {
  if (effect.kind === "item-moved") return effect.item;
  return effect.kind === "hardware-set" ? effect.hardware : null;
}

// Every text within, ids among them; more than the ids only makes tasks less apart.
function idsNamed(value: unknown): readonly string[] {
  if (typeof value === "string") return [value];
  if (typeof value !== "object" || value === null) return [];
  return Object.values(value).flatMap(idsNamed);
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

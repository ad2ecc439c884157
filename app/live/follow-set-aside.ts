// What was set aside in a run, as signals that follow the store; and which of it a person has seen.
//
// [follow-set-aside 1] What is marked as seen stays so, on this device, over reloads.
// [follow-set-aside 2] What has been added to since it was seen is new again.

import { computed, signal } from "@preact/signals";
import type { ReadonlySignal } from "@preact/signals";
import { Dexie, liveQuery } from "dexie";
import type { ProcedureIndex } from "../../machines/procedure/procedure-index.ts";
import type { Entry } from "../../machines/record/entry.ts";
import type { RunId } from "../../machines/record/ids.ts";
import type { RunState } from "../../machines/record/run-state.ts";
import { setAsideJson } from "../../machines/views/set-aside-json.ts";
import { setAsideLines } from "../../machines/views/set-aside-view.ts";
import type { SetAsideGround, SetAsideLine } from "../../machines/views/set-aside-view.ts";
import type { Database, Link, SetAside } from "../../workers/store/database.ts";
import { writeDurably } from "../../workers/store/write-durably.ts";

/** What was set aside, as screens see it. */
export type FollowedSetAside = {
  readonly lines: ReadonlySignal<readonly SetAsideLine[]>;
  /** Keys of the lines, and of other notices, that a person has seen. */
  readonly seen: ReadonlySignal<ReadonlySet<string>>;
  /** Remembers that a person has seen these. Errors: the store's. */
  readonly markSeen: (keys: readonly string[]) => Promise<void>;
  /** All of it as a file's text. */
  readonly fileText: () => string;
};

/** What is followed. */
export type SetAsideOf = {
  readonly run: RunId;
  readonly index: ProcedureIndex;
  readonly state: ReadonlySignal<RunState>;
  readonly entries: ReadonlySignal<readonly Entry[]>;
  readonly link: ReadonlySignal<Link>;
};

/** Follows what was set aside in a run, until the signal aborts. Errors: none; `onError` is told. */
export function followSetAside(
  database: Database,
  of: SetAsideOf,
  until: AbortSignal,
  onError: (cause: unknown) => void,
): FollowedSetAside {
  const { run, index, state, entries, link } = of;
  const here = signal<readonly SetAside[]>([]);
  const seen = signal<ReadonlySet<string>>(new Set());
  const following = [
    liveQuery(() => readSetAside(database, run)).subscribe({
      next: (rows) => {
        here.value = rows;
      },
      error: onError,
    }),
    liveQuery(() => readSeen(database, run)).subscribe({
      next: (keys) => {
        seen.value = keys;
      },
      error: onError,
    }),
  ];
  until.addEventListener("abort", () => following.forEach((one) => one.unsubscribe()));
  const ground = computed<SetAsideGround>(() => ({
    index,
    state: state.value,
    here: here.value,
    atHub: link.value.setAside,
  }));
  return {
    lines: computed(() => setAsideLines(ground.value)),
    seen,
    markSeen: (keys) => markSeen(database, run, keys),
    fileText: () => setAsideJson(run, ground.value, entries.value),
  };
}

function readSetAside(database: Database, run: RunId): Promise<SetAside[]> {
  return database.setAside
    .where("[run+device+seq+digest]")
    .between([run, Dexie.minKey], [run, Dexie.maxKey])
    .toArray();
}

const settingOf = (run: RunId): string => `seen ${run}`;

async function readSeen(database: Database, run: RunId): Promise<ReadonlySet<string>> {
  const stored = await database.settings.get(settingOf(run));
  return new Set((stored?.value ?? []) as readonly string[]);
}

async function markSeen(database: Database, run: RunId, keys: readonly string[]): Promise<void> {
  await writeDurably(database, [database.settings], async () => {
    const before = await readSeen(database, run);
    const value = [...new Set([...before, ...keys])];
    await database.settings.put({ name: settingOf(run), value });
  });
}

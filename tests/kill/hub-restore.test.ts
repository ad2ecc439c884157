// A hub is backed up, the run goes on, the hub is killed and restored from the backup: devices that sync
// with it bring back what it lost. The hub is the real process, the devices run the product's own store
// and sync loop.

import { rmSync } from "node:fs";
import { join } from "node:path";
import { expect, onTestFinished, test } from "vitest";
import { entryText } from "../../machines/record/digest-entry.ts";
import type { Entry } from "../../machines/record/entry.ts";
import type { RunId } from "../../machines/record/ids.ts";
import { entriesOfRun, unsentOfRun } from "../../workers/store/read-run.ts";
import { note } from "../support/a-database.ts";
import { askHub } from "../support/ask-hub.ts";
import { startHub } from "../support/hub-process.ts";
import { aTablet, joinOn, openOn } from "../unit/workers/link/a-tablet.ts";
import type { Tablet } from "../unit/workers/link/a-tablet.ts";

const observer = { role: "observer", lane: null } as const;

test("[restore 4] a hub restored from yesterday's backup gets back all that it had acknowledged", async () => {
  const hub = await startHub();
  onTestFinished(hub.remove);
  const asked = askHub(hub);
  const desk = await aTablet(asked, "Desk");
  const stored = await openOn(desk, asked);
  const { run } = stored;
  await desk.loop.syncRun(run);
  const director = { tablet: desk, stored };
  const early = await aTablet(asked, "Early tablet");
  await joinOn(early, director, observer);
  await tapAndSync([desk, early], run, "before the backup");

  const backup = join(hub.dataFolder, "yesterday.backup");
  onTestFinished(() => rmSync(backup, { force: true }));
  const backingUp = hub.task("backup", backup);
  await tapAndSync([desk, early], run, "while the backup is made");
  const { code, printed } = await backingUp;
  expect(code, printed).toBe(0);

  // What the backup does not have: more entries, a tablet that came in later, another run.
  const late = await aTablet(asked, "Late tablet");
  await joinOn(late, director, observer);
  await tapAndSync([desk, early, late], run, "after the backup");
  const second = await openOn(desk, asked);
  await tapAndSync([desk], second.run, "in a run that the backup does not know");
  const acknowledged = await acknowledgedOf([desk, early, late], [run, second.run]);
  expect(acknowledged.size).toBeGreaterThan(80);

  const tooEarly = await hub.task("restore", backup);
  expect(tooEarly.code).toBe(1);
  expect(tooEarly.printed).toMatch(/hub is running/);
  await hub.kill();
  const restored = await hub.task("restore", backup);
  expect(restored.code, restored.printed).toBe(0);
  await hub.restart();

  for (const tablet of [early, desk, early, desk])
    for (const of of [run, second.run]) await tablet.loop.syncRun(of).catch(() => undefined);
  const fresh = await aTablet(asked, "Fresh tablet");
  await joinOn(fresh, director, observer);
  const freshSecond = await aTablet(asked, "Fresh tablet of the second run");
  await joinOn(freshSecond, { tablet: desk, stored: second }, observer);
  await fresh.loop.syncRun(run);
  await freshSecond.loop.syncRun(second.run);
  const found = new Set([
    ...(await textsOf(fresh, run)),
    ...(await textsOf(freshSecond, second.run)),
  ]);
  const lost = [...acknowledged].filter((text) => !found.has(text));
  process.stderr.write(
    `acknowledged ${acknowledged.size}, lost after the restore ${lost.length}\n`,
  );
  expect(lost).toEqual([]);

  // The tablet that the restored hub does not know joins again, and goes on where it was.
  await joinOn(late, director, observer);
  await tapAndSync([late, desk, late, fresh], run, "after it joined again");
  expect(await textsOf(fresh, run)).toEqual(await textsOf(late, run));
});

/** Each taps ten times, syncing in between; then all sync until all have all. */
async function tapAndSync(tablets: readonly Tablet[], run: RunId, when: string): Promise<void> {
  for (let time = 1; time <= 10; time += 1) {
    for (const tablet of tablets) await tablet.tap(run, note(`${when} ${time}`));
    if (time % 3 === 0) for (const tablet of tablets) await tablet.loop.syncRun(run);
  }
  for (const tablet of [...tablets, ...tablets])
    expect(await tablet.loop.syncRun(run)).toEqual({ type: "round.finished" });
}

/** What the hub has acknowledged: all, for each device says that nothing of its own is unsent. */
async function acknowledgedOf(
  tablets: readonly Tablet[],
  runs: readonly RunId[],
): Promise<ReadonlySet<string>> {
  const texts: string[] = [];
  for (const tablet of tablets) {
    const { device } = tablet.device;
    for (const run of runs) {
      expect(await unsentOfRun(tablet.database, { run, device })).toBe(0);
      const entries: readonly Entry[] = await entriesOfRun(tablet.database, run);
      texts.push(...entries.filter((entry) => entry.device === device).map(entryText));
    }
  }
  return new Set(texts);
}

async function textsOf({ database }: Tablet, run: RunId): Promise<readonly string[]> {
  return (await entriesOfRun(database, run)).map(entryText).toSorted();
}

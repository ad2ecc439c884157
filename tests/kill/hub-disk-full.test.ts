// The hub's disk has no more room in the middle of a run, and has room again later. The system refuses
// the real process to let its files grow (RLIMIT_FSIZE), which the database meets as it meets a full disk:
// a write that is cut short or fails.

import { spawnSync } from "node:child_process";
import { statSync } from "node:fs";
import { join } from "node:path";
import { expect, onTestFinished, test } from "vitest";
import { entryText } from "../../machines/record/digest-entry.ts";
import type { RunId } from "../../machines/record/ids.ts";
import { readRefusal } from "../../machines/sync/refusal.ts";
import { inspectHubFile } from "../../workers/hub/tasks/inspect-hub-file.ts";
import { entriesOfRun, unsentOfRun } from "../../workers/store/read-run.ts";
import { note } from "../support/a-database.ts";
import { askHub } from "../support/ask-hub.ts";
import { startHub } from "../support/hub-process.ts";
import type { HubProcess } from "../support/hub-process.ts";
import { aTablet, joinOn, openOn } from "../unit/workers/link/a-tablet.ts";
import type { HubToAsk, Tablet } from "../unit/workers/link/a-tablet.ts";

test("[storage 2] a hub whose disk is full says so, keeps nothing half, and goes on when there is room", async () => {
  const hub = await startHub();
  onTestFinished(hub.remove);
  const refusals: string[] = [];
  const asked = noting(askHub(hub), refusals);
  const desk = await aTablet(asked, "Desk");
  const stored = await openOn(desk, asked);
  const { run } = stored;
  await tapMany(desk, run, 20);
  expect(await desk.loop.syncRun(run)).toEqual({ type: "round.finished" });
  expect(refusals).not.toContain("503 storage-failed");

  limitFiles(hub, journalBytes(hub) + 6_000);
  await tapMany(desk, run, 150);
  expect(await desk.loop.syncRun(run)).toMatchObject({ type: "round.put-off" });
  expect(refusals).toContain("503 storage-failed");
  const unsent = await unsentOf(desk, run);
  expect(unsent).toBeGreaterThan(0);
  expect((await fetch(`${hub.address}/healthz`)).status).toBe(200);
  await tapMany(desk, run, 5);
  await desk.loop.syncRun(run);
  expect(await unsentOf(desk, run)).toBe(unsent + 5);

  limitFiles(hub, "unlimited");
  expect(await desk.loop.syncRun(run)).toEqual({ type: "round.finished" });
  expect(await unsentOf(desk, run)).toBe(0);
  const fresh = await aTablet(asked, "Fresh tablet");
  await joinOn(fresh, { tablet: desk, stored }, { role: "observer", lane: null });
  await fresh.loop.syncRun(run);
  await desk.loop.syncRun(run);
  await fresh.loop.syncRun(run);
  expect(await textsOf(fresh, run)).toEqual(await textsOf(desk, run));
  await hub.stop();
  inspectHubFile(join(hub.dataFolder, "hub.sqlite"));
});

test("[storage 2] a hub that is killed while its disk is full starts again with what it acknowledged", async () => {
  const hub = await startHub();
  onTestFinished(hub.remove);
  const refusals: string[] = [];
  const asked = noting(askHub(hub), refusals);
  const desk = await aTablet(asked, "Desk");
  const { run } = await openOn(desk, asked);
  await tapMany(desk, run, 20);
  await desk.loop.syncRun(run);
  const acknowledged = await textsOf(desk, run);
  limitFiles(hub, journalBytes(hub) + 6_000);
  await tapMany(desk, run, 150);
  await desk.loop.syncRun(run);
  expect(refusals).toContain("503 storage-failed");
  await hub.kill();
  await hub.restart();
  expect(await desk.loop.syncRun(run)).toEqual({ type: "round.finished" });
  expect(await textsOf(desk, run)).toEqual(expect.arrayContaining([...acknowledged]));
  expect(await unsentOf(desk, run)).toBe(0);
});

/** The system lets no file of the process grow beyond this. Its files that are larger stay as they are. */
function limitFiles(hub: HubProcess, bytes: number | "unlimited"): void {
  const args = ["--pid", String(hub.pid()), `--fsize=${bytes}:unlimited`];
  const { status, stderr } = spawnSync("prlimit", args, { encoding: "utf8" });
  expect(status, stderr).toBe(0);
}

function journalBytes({ dataFolder }: HubProcess): number {
  return statSync(join(dataFolder, "hub.sqlite-wal")).size;
}

function noting(hub: HubToAsk, refusalsMutable: string[]): HubToAsk {
  return {
    ...hub,
    async ask(...asking) {
      const answer = await hub.ask(...asking);
      if (answer.ok) return answer;
      const { value } = readRefusal(await answer.clone().json());
      refusalsMutable.push(`${answer.status} ${value?.code}`);
      return answer;
    },
  };
}

async function tapMany(tablet: Tablet, run: RunId, count: number): Promise<void> {
  for (let time = 0; time < count; time += 1) {
    // Letters that do not pack well.
    await tablet.tap(run, note(crypto.randomUUID().repeat(2) + crypto.randomUUID()));
  }
}

function unsentOf({ database, device: { device } }: Tablet, run: RunId): Promise<number> {
  return unsentOfRun(database, { run, device });
}

async function textsOf({ database }: Tablet, run: RunId): Promise<readonly string[]> {
  return (await entriesOfRun(database, run)).map(entryText).toSorted();
}

// Sending and fetching entries.

import { expect, test } from "vitest";
import type { InjectId } from "../../../../../machines/procedure/ids.ts";
import type { Entry } from "../../../../../machines/record/entry.ts";
import { readPushAnswer } from "../../../../../machines/sync/push.ts";
import type { PushAnswer } from "../../../../../machines/sync/push.ts";
import { protocolHeader } from "../../../../../machines/sync/protocol-version.ts";
import { readPullAnswer } from "../../../../../machines/sync/pull.ts";
import type { PullCursor } from "../../../../../machines/sync/pull.ts";
import { createHubApp } from "../../../../../workers/hub/server.ts";
import type { RecordStorage } from "../../../../../workers/hub/storage/record-storage.ts";
import { aHub, letIn, openRun, pull, push, run } from "../a-hub.ts";
import type { TestDevice, TestHub } from "../a-hub.ts";
import { arming, chain, endOf, note, notes } from "../incoming-entries.ts";

async function pushed(
  hub: TestHub,
  device: TestDevice,
  entries: readonly Entry[],
): Promise<PushAnswer> {
  const { value, faults } = readPushAnswer(await push(hub, device, entries));
  if (value === null) throw new Error(JSON.stringify(faults));
  return value;
}

async function hubWithCrew() {
  const hub = await aHub();
  const director = await openRun(hub);
  const crew = await letIn(hub, director, { name: "ev1", role: "crew", lane: "ev1" });
  return { hub, director, crew };
}

test("[push-route 1] the answer says what the hub has, and a repeat changes nothing", async () => {
  const { hub, crew } = await hubWithCrew();
  const entries = crew.write(...notes(3));
  const first = await pushed(hub, crew, entries);
  expect(first).toMatchObject({ have: { [crew.device]: 3 }, refused: null });
  expect(first.stamps.receivedMs).toBeLessThanOrEqual(first.stamps.answeredMs);
  const before = hub.dump();
  expect(await pushed(hub, crew, entries)).toEqual(first);
  expect(await pushed(hub, crew, [])).toEqual(first);
  expect(hub.dump()).toBe(before);
});

test("[storage 7] after a gap the answer tells where to go on from", async () => {
  const { hub, crew } = await hubWithCrew();
  const [one, , three] = crew.write(...notes(3));
  const answer = await pushed(
    hub,
    crew,
    [one, three].flatMap((entry) => entry ?? []),
  );
  expect(answer).toMatchObject({ have: { [crew.device]: 1 }, refused: { seq: 3, code: "gap" } });
});

test("[storage 6] a fork and a broken chain are refused, set aside and logged", async () => {
  const { hub, crew } = await hubWithCrew();
  const entries = crew.write(...notes(2));
  await pushed(hub, crew, entries);
  const place = { run: entries[0]!.run, device: crew.device };
  const fork = chain(place, [note("otherwise")], endOf(entries.slice(0, 1)));
  const stray = chain(place, [note("stray")], { seq: 2, digest: "0".repeat(64) });
  expect(await pushed(hub, crew, fork)).toMatchObject({ refused: { seq: 2, code: "fork" } });
  expect(await pushed(hub, crew, stray)).toMatchObject({ refused: { seq: 3, code: "chain" } });
  expect(await hub.hub.storage.readSetAside(place.run)).toHaveLength(2);
  expect(hub.logLines.filter((line) => line.includes("entries.set-aside"))).toHaveLength(2);
  expect((await pull(hub, crew)).entries).toEqual(entries);
});

test("[pull 1] a cursor goes on, and starts anew where it means nothing", async () => {
  const { hub, director, crew } = await hubWithCrew();
  await pushed(hub, crew, crew.write(...notes(500)));
  await pushed(hub, crew, crew.write(...notes(500)));
  await pushed(hub, crew, crew.write(...notes(2)));
  const first = await pull(hub, director);
  expect(first.entries).toHaveLength(1000);
  expect(first.more).toBe(true);
  const second = await pull(hub, director, first.cursor);
  expect(second.entries.map(({ seq }) => seq)).toEqual([1001, 1002]);
  expect(second.more).toBe(false);
  const third = await pull(hub, director, second.cursor);
  expect(third).toMatchObject({ entries: [], more: false, cursor: second.cursor });
  const { epoch } = first.cursor;
  for (const cursor of [
    { epoch: "another", after: 1000 },
    { epoch, after: 2000 },
  ]) {
    expect((await pull(hub, director, cursor)).entries[0]?.seq).toBe(1);
  }
});

test("[pull 2] what is for directors only reaches others as stand-ins that keep the chain", async () => {
  const { hub, director, crew } = await hubWithCrew();
  const entries = director.write(note("before"), arming("glove"), note("after"));
  await pushed(hub, director, entries);
  expect((await pull(hub, director)).entries).toEqual(entries);
  const { entries: seen } = await pull(hub, crew);
  const [before, hidden, after] = seen;
  expect([before, after]).toEqual([entries[0], entries[2]]);
  const { body: _body, ...rest } = entries[1]!;
  expect(hidden).toEqual({
    ...rest,
    position: null,
    body: { kind: "entry.withheld", digest: after?.prev },
  });
  expect(JSON.stringify(seen)).not.toContain("glove");
});

test("[pull 3] at the closing a follower gets it in full, and so does who starts anew", async () => {
  const { hub, director, crew } = await hubWithCrew();
  const armed = director.write(arming("glove"), note("on"));
  await pushed(hub, director, armed);
  const held = await pull(hub, crew);
  await pushed(hub, director, director.write({ kind: "run.closed" }, note("debrief")));
  const then = await pull(hub, crew, held.cursor);
  expect(then.entries.map(({ seq, body }) => [seq, body.kind])).toEqual([
    [3, "run.closed"],
    [1, "inject.armed"],
    [4, "note.added"],
  ]);
  expect(then.entries[1]).toEqual(armed[0]);
  const anew = await pull(hub, crew);
  expect(anew.entries[0]).toEqual(armed[0]);
  expect(anew.entries).toHaveLength(5);
});

test("[pull 3] a run that closes amid a pull brings the entry out at its new place", async () => {
  const { hub, director, crew } = await hubWithCrew();
  await pushed(hub, director, director.write(arming("glove")));
  const { cursor } = await pull(hub, crew);
  const { storage } = hub.hub;
  let closes = async () => {
    closes = () => Promise.resolve();
    await pushed(hub, director, director.write({ kind: "run.closed" }));
  };
  const closingStorage: RecordStorage = {
    ...storage,
    async readEntries(...asked) {
      await closes();
      return await storage.readEntries(...asked);
    },
  };
  const app = createHubApp({ ...hub.hub, storage: closingStorage });
  const query = `?epoch=${cursor.epoch}&after=${cursor.after}`;
  const headers = { [protocolHeader]: "1", authorization: `Bearer ${crew.token}` };
  const answer = await app.request(`/api/runs/${run}/entries${query}`, { headers }, {});
  const { value } = readPullAnswer(await answer.json());
  expect(value?.entries.map(({ body }) => body.kind)).toEqual(["run.closed", "inject.armed"]);
});

test("[entry-facts 1] a crew device's run.closed brings nothing out", async () => {
  const { hub, director, crew } = await hubWithCrew();
  await pushed(hub, director, director.write(arming("glove")));
  await pushed(hub, crew, crew.write({ kind: "run.closed" }));
  const { entries } = await pull(hub, crew);
  expect(entries.map(({ body }) => body.kind)).toEqual(["entry.withheld", "run.closed"]);
});

test("[redact 2] gradings, withdrawals of armings and clearings of unfired injects stay hidden", async () => {
  const { hub, director, crew } = await hubWithCrew();
  const inject = "glove" as InjectId;
  const fired = "comm" as InjectId;
  const withdrawn = { device: director.device, seq: 1 };
  await pushed(
    hub,
    director,
    director.write(
      arming("glove"),
      { kind: "entry.withdrawn", withdrawn, reason: "not the glove today" },
      { kind: "inject.cleared", inject },
      { kind: "inject.fired", inject: fired, name: "Loop", card: "No voice", shownTo: [] },
      { kind: "inject.graded", inject: fired, grade: "met", remark: "hand signals, as due" },
      { kind: "inject.cleared", inject: fired },
      note("seen"),
    ),
  );
  const again = { device: director.device, seq: 7 };
  const taking = { kind: "entry.withdrawn", withdrawn: again, reason: "mis-tap" } as const;
  await pushed(hub, director, director.write(taking));
  const { entries } = await pull(hub, crew);
  expect(entries.map(({ body }) => body.kind)).toEqual([
    "entry.withheld",
    "entry.withheld",
    "entry.withheld",
    "inject.fired",
    "entry.withheld",
    "inject.cleared",
    "note.added",
    "entry.withdrawn",
  ]);
  expect(JSON.stringify(entries)).not.toMatch(/glove|as due/);
});

test("[storage 3] a follower amid many pushes at once gets every entry once", async () => {
  const { hub, director } = await hubWithCrew();
  const devices = await Promise.all(
    Array.from({ length: 6 }, (_, index) =>
      letIn(hub, director, { name: `writer-${index}`, role: "observer" }),
    ),
  );
  let isWriting = true;
  const followed: Entry[] = [];
  const follow = async () => {
    let cursor: PullCursor | null = null;
    let isLast = false;
    while (!isLast) {
      isLast = !isWriting;
      // The clock stands still here; without this the follower would use up its bucket.
      hub.clock.pass(100);
      const answer = await pull(hub, director, cursor);
      cursor = answer.cursor;
      followed.push(...answer.entries);
    }
  };
  const write = async (device: TestDevice) => {
    for (let round = 0; round < 15; round += 1) {
      await pushed(hub, device, device.write(...notes((round % 3) + 1)));
    }
  };
  const following = follow();
  await Promise.all(devices.map(write));
  isWriting = false;
  await following;
  const names = followed.map(({ device, seq }) => `${device} ${seq}`);
  expect(new Set(names).size).toBe(names.length);
  expect(names).toHaveLength(6 * 30);
});

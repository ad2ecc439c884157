// Sending and fetching entries.

import { setImmediate } from "node:timers/promises";
import { expect, test } from "vitest";
import type { InjectId } from "../../../../../machines/procedure/ids.ts";
import type { Entry } from "../../../../../machines/record/entry.ts";
import { protocolHeader, protocolVersion } from "../../../../../machines/sync/protocol-version.ts";
import { readPullAnswer } from "../../../../../machines/sync/pull.ts";
import type { PullCursor } from "../../../../../machines/sync/pull.ts";
import { createHubApp } from "../../../../../workers/hub/server.ts";
import type { RecordStorage } from "../../../../../workers/hub/storage/record-storage.ts";
import {
  aDevice,
  aHub,
  entriesOfSegment,
  letIn,
  openRun,
  pull,
  push,
  pushSegments,
  refusalOf,
  run,
  signed,
} from "../a-hub.ts";
import type { TestDevice } from "../a-hub.ts";
import { arming, chain, endOf, note, notes } from "../incoming-entries.ts";

async function hubWithCrew() {
  const hub = await aHub();
  const director = await openRun(hub);
  const crew = await letIn(hub, director, { role: "crew", lane: "ev1" });
  return { hub, director, crew };
}

test("[push-route 1] the answer says what the hub has, and a repeat changes nothing", async () => {
  const { hub, crew } = await hubWithCrew();
  const entries = crew.write(...notes(3));
  const first = await push(hub, crew, entries);
  expect(first).toMatchObject({ have: { [crew.device]: 3 }, refused: [] });
  expect(first.stamps.receivedMs).toBeLessThanOrEqual(first.stamps.answeredMs);
  const before = hub.dump();
  expect(await push(hub, crew, entries)).toEqual(first);
  expect(await push(hub, crew, [])).toEqual(first);
  expect(hub.dump()).toBe(before);
});

test("[storage 7] after a gap the answer tells where to go on from", async () => {
  const { hub, crew } = await hubWithCrew();
  const entries = crew.write(...notes(3));
  const segments = [await signed(crew, entries.slice(0, 1)), await signed(crew, entries.slice(2))];
  const { device } = crew;
  expect(await pushSegments(hub, crew, segments)).toMatchObject({
    have: { [device]: 1 },
    refused: [{ device, seq: 3, code: "gap" }],
  });
});

test("[storage 6] a fork and a broken chain are refused, set aside and logged", async () => {
  const { hub, crew } = await hubWithCrew();
  const entries = crew.write(...notes(2));
  await push(hub, crew, entries);
  const place = { run: entries[0]!.run, device: crew.device };
  const fork = chain(place, [note("otherwise")], endOf(entries.slice(0, 1)));
  const stray = chain(place, [note("stray")], { seq: 2, digest: "0".repeat(64) });
  expect(await push(hub, crew, fork)).toMatchObject({ refused: [{ seq: 2, code: "fork" }] });
  expect(await push(hub, crew, stray)).toMatchObject({ refused: [{ seq: 3, code: "chain" }] });
  expect(await hub.hub.storage.readSetAside(place.run)).toHaveLength(2);
  expect(hub.logLines.filter((line) => line.includes("segment.set-aside"))).toHaveLength(2);
  expect((await pull(hub, crew)).entries).toEqual(entries);
});

test("[pull 1] a cursor goes on, and starts anew where it means nothing", async () => {
  const { hub, director, crew } = await hubWithCrew();
  await push(hub, crew, crew.write(...notes(400)));
  await push(hub, crew, crew.write(...notes(500)));
  await push(hub, crew, crew.write(...notes(100)));
  await push(hub, crew, crew.write(...notes(2)));
  const first = await pull(hub, director);
  expect(first.segments).toHaveLength(3);
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
  await push(hub, director, entries);
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
  await push(hub, director, armed);
  const held = await pull(hub, crew);
  await push(hub, director, director.write({ kind: "run.closed" }, note("debrief")));
  const then = await pull(hub, crew, held.cursor);
  expect(then.entries.map(({ seq, body }) => [seq, body.kind])).toEqual([
    [3, "run.closed"],
    [4, "note.added"],
  ]);
  expect(then.unveiled).toEqual([armed[0]]);
  const anew = await pull(hub, crew);
  expect(anew.entries[0]).toEqual(armed[0]);
  expect(anew.entries).toHaveLength(4);
});

test("[pull 3] a run that closes amid a pull brings the entry out at its new place", async () => {
  const { hub, director, crew } = await hubWithCrew();
  await push(hub, director, director.write(arming("glove")));
  const { cursor } = await pull(hub, crew);
  const { storage } = hub.hub;
  let closes = async () => {
    closes = () => Promise.resolve();
    await push(hub, director, director.write({ kind: "run.closed" }));
  };
  const closingStorage: RecordStorage = {
    ...storage,
    async readListed(...asked) {
      await closes();
      return await storage.readListed(...asked);
    },
  };
  const app = createHubApp({ ...hub.hub, storage: closingStorage });
  const query = `?epoch=${cursor.epoch}&after=${cursor.after}`;
  const headers = {
    [protocolHeader]: String(protocolVersion),
    authorization: `Bearer ${crew.token}`,
  };
  const answer = await app.request(`/api/runs/${run}/entries${query}`, { headers }, {});
  const { value } = readPullAnswer(await answer.json());
  const kinds = value?.segments.flatMap(entriesOfSegment).map(({ body }) => body.kind);
  expect(kinds).toEqual(["run.closed"]);
  expect(value?.unveiled.map(({ body }) => body.kind)).toEqual(["inject.armed"]);
});

test("[entry-facts 1] a crew device's run.closed brings nothing out", async () => {
  const { hub, director, crew } = await hubWithCrew();
  await push(hub, director, director.write(arming("glove")));
  await push(hub, crew, crew.write({ kind: "run.closed" }));
  const { entries } = await pull(hub, crew);
  expect(entries.map(({ body }) => body.kind)).toEqual(["entry.withheld", "run.closed"]);
});

test("[redact 2] gradings, withdrawals of armings and clearings of unfired injects stay hidden", async () => {
  const { hub, director, crew } = await hubWithCrew();
  const inject = "glove" as InjectId;
  const fired = "comm" as InjectId;
  const withdrawn = { device: director.device, seq: 1 };
  await push(
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
  await push(hub, director, director.write(taking));
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
    Array.from({ length: 6 }, () => letIn(hub, director, { role: "observer" })),
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
      // Without a socket the answers come at once, and would keep the writers from their turn.
      await setImmediate();
      const answer = await pull(hub, director, cursor);
      cursor = answer.cursor;
      followed.push(...answer.entries);
    }
  };
  const write = async (device: TestDevice) => {
    for (let round = 0; round < 15; round += 1) {
      await push(hub, device, device.write(...notes((round % 3) + 1)));
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

test("[push-route 3] what bears no good signature is refused and set aside, and reported to directors", async () => {
  const { hub, director, crew } = await hubWithCrew();
  const stranger = await aDevice();
  const good = await signed(crew, crew.write(...notes(2)));
  const { head } = good;
  const forged = [
    {
      ...good,
      head: {
        ...head,
        signature: `${head.signature.startsWith("A") ? "B" : "A"}${head.signature.slice(1)}`,
      },
    },
    { ...good, head: { ...head, key: stranger.key.publicKey } },
  ];
  const before = await pull(hub, director);
  for (const segment of forged) {
    const { refused, have } = await pushSegments(hub, crew, [segment]);
    expect(refused).toMatchObject([{ device: crew.device, seq: 1, code: "signature" }]);
    expect(have).toEqual({});
  }
  expect((await pull(hub, crew)).setAside).toEqual([]);
  const after = await pull(hub, director);
  const report = { device: crew.device, fromSeq: 1, toSeq: 2, code: "signature" };
  expect(after.setAside).toMatchObject([report]);
  expect(after.cursor).toEqual(before.cursor);
  const metrics = await (await hub.ask("GET", "/metrics")).text();
  expect(metrics).toContain('lanehold_segments_set_aside_total{code="signature"} 2\n');
  expect(await pushSegments(hub, crew, [good])).toMatchObject({ refused: [] });
});

test("[push-route 4] [entry-facts 2] a device may bring what others signed, and their role decides what it does", async () => {
  const { hub, director, crew } = await hubWithCrew();
  const unknown = await aDevice();
  const arms = await signed(director, director.write(arming("glove")));
  const closes = await signed(crew, crew.write({ kind: "run.closed" }));
  const away = await signed(
    unknown,
    unknown.write(arming("loop"), note("seen"), { kind: "run.closed" }),
  );
  const { refused, have } = await pushSegments(hub, crew, [arms, closes, away]);
  expect(refused).toEqual([]);
  expect(have).toEqual({ [director.device]: 1, [crew.device]: 1, [unknown.device]: 3 });
  const { entries } = await pull(hub, crew);
  expect(entries.map(({ body }) => body.kind)).toEqual([
    "entry.withheld",
    "run.closed",
    "entry.withheld",
    "note.added",
    "run.closed",
  ]);
  await push(hub, director, director.write({ kind: "run.closed" }));
  expect((await pull(hub, crew)).unveiled).toHaveLength(2);
});

test("[push-route 2] a stand-in is not taken, and what it stands for may still come", async () => {
  const { hub, director, crew } = await hubWithCrew();
  const full = await signed(director, director.write(note("a"), arming("glove"), note("b")));
  await pushSegments(hub, director, [full]);
  const [seen] = (await pull(hub, crew)).segments;
  const again = await pushSegments(hub, crew, [seen]);
  expect(again.refused).toMatchObject([{ device: director.device, seq: 2, code: "stand-in" }]);
  expect(await hub.hub.storage.readSetAside(run)).toEqual([]);
});

test("[push-route 5] [authenticate 3] [stream-route 3] a device that was struck off may send, and is answered nothing else", async () => {
  const { hub, director, crew } = await hubWithCrew();
  const stream = await hub.ask("GET", `/api/runs/${run}/stream`, { token: crew.token });
  const struckOff = crew.device;
  await push(
    hub,
    director,
    director.write({ kind: "device.struck-off", struckOff, reason: "lost" }),
  );
  const late = await push(hub, crew, crew.write(note("written on")));
  expect(late).toMatchObject({ refused: [], have: { [crew.device]: 1 } });
  for (const [method, path] of [
    ["GET", "entries"],
    ["GET", "stream"],
    ["GET", "inject-script"],
    ["POST", "invitations"],
  ] as const) {
    const answer = await hub.ask(method, `/api/runs/${run}/${path}`, { token: crew.token });
    expect(answer.status, path).toBe(403);
    expect((await refusalOf(answer)).code, path).toBe("struck-off");
  }
  hub.clock.pass(5_000);
  const reader = stream.body!.getReader();
  while (!(await reader.read()).done);
  const metrics = await (await hub.ask("GET", "/metrics")).text();
  expect(metrics).toContain('lanehold_refusals_total{code="struck-off"} 4\n');
  const named = { kind: "device.joined", joined: crew.device, role: "crew", lane: null } as const;
  await push(hub, director, director.write({ ...named, deviceName: "Tablet" }));
  expect((await pull(hub, crew)).entries).toHaveLength(3);
});

test("[entry-facts 1] a struck-off director's run.closed brings nothing out", async () => {
  const { hub, director, crew } = await hubWithCrew();
  const second = await letIn(hub, director, { role: "director" });
  await push(hub, director, director.write(arming("glove")));
  const struckOff = second.device;
  await push(
    hub,
    director,
    director.write({ kind: "device.struck-off", struckOff, reason: "lost" }),
  );
  await push(hub, second, second.write({ kind: "run.closed" }, arming("loop")));
  const kinds = (await pull(hub, crew)).entries.map(({ body }) => body.kind);
  expect(kinds).toEqual(["entry.withheld", "device.struck-off", "run.closed", "entry.withheld"]);
});

test("[pull 4] [pull-route 1] what is pulled is what was signed, byte for byte in its entries", async () => {
  const { hub, director, crew } = await hubWithCrew();
  const segments = [
    await signed(crew, crew.write(...notes(3))),
    await signed(crew, crew.write(note("four"))),
  ];
  await pushSegments(hub, director, segments);
  expect((await pull(hub, director)).segments).toEqual(segments);
});

// What every storage must keep of segments and places; a part of record-storage.suite.ts

import { setImmediate } from "node:timers/promises";
import * as fc from "fast-check";
import { expect, test } from "vitest";
import type { InjectId } from "../../../../../machines/procedure/ids.ts";
import type { Entry } from "../../../../../machines/record/entry.ts";
import type { DeviceId, RunId } from "../../../../../machines/record/ids.ts";
import { setAsideMax } from "../../../../../workers/hub/storage/record-storage.ts";
import type {
  Listed,
  RecordStorage,
  SetAsideSegment,
} from "../../../../../workers/hub/storage/record-storage.ts";
import { arming, chain, endOf, incoming, note, notes } from "../incoming-entries.ts";
import { director, entriesOf, opening, run, tablet, withRun } from "./a-stored-run.ts";

const byTablet = { run, device: tablet };
const byDirector = { run, device: director };
const all = 1_000_000;

/** Runs this part on the storages that `emptyStorage` makes. */
export function checkSegments(emptyStorage: () => Promise<RecordStorage>): void {
  checkTaking(emptyStorage);
  checkSettingAside(emptyStorage);
  checkUnveiling(emptyStorage);
  checkPlaces(emptyStorage);
}

async function take(storage: RecordStorage, entries: readonly Entry[]) {
  return await storage.takeSegment(incoming(entries), 3_000);
}

function checkTaking(emptyStorage: () => Promise<RecordStorage>): void {
  test("[storage 5] a segment taken again changes nothing", async () => {
    const storage = await withRun(emptyStorage());
    const entries = chain(byTablet, notes(5));
    expect(await take(storage, entries)).toEqual({ taken: 5, refused: null });
    const before = await storage.readListed(run, 0, all);
    for (const [from, to] of [
      [0, 5],
      [0, 3],
      [2, 4],
      [4, 5],
    ]) {
      expect(await take(storage, entries.slice(from, to))).toEqual({ taken: 0, refused: null });
    }
    expect(await storage.readListed(run, 0, all)).toEqual(before);
    const texts = before.listed.map((one) => (one.what === "segment" ? one.text : ""));
    expect(texts).toEqual([incoming(entries).textFrom(1)]);
    expect(await storage.readHave(run)).toEqual({ [tablet]: 5 });
    expect(await storage.count()).toMatchObject({ entries: 5, setAside: 0 });
  });

  test("[storage 4] of a segment whose beginning is there the rest is taken", async () => {
    const storage = await withRun(emptyStorage());
    const entries = chain(byTablet, notes(6));
    await take(storage, entries.slice(0, 3));
    expect(await take(storage, entries.slice(1, 5))).toEqual({ taken: 2, refused: null });
    expect(await take(storage, entries)).toEqual({ taken: 1, refused: null });
    const { listed } = await storage.readListed(run, 0, all);
    expect(entriesOf(listed).map(([place, { seq }]) => [place, seq])).toEqual([
      [1, 1],
      [1, 2],
      [1, 3],
      [2, 4],
      [2, 5],
      [3, 6],
    ]);
    expect(entriesOf(listed).map(([, entry]) => entry)).toEqual(entries);
  });

  test("[storage 7] a segment after a gap is neither taken nor set aside", async () => {
    const storage = await withRun(emptyStorage());
    const entries = chain(byTablet, notes(5));
    await take(storage, entries.slice(0, 2));
    const after = entries.slice(3);
    expect(await take(storage, after)).toEqual({ taken: 0, refused: { seq: 4, code: "gap" } });
    expect(await storage.readHave(run)).toEqual({ [tablet]: 2 });
    expect(await storage.readSetAside(run)).toEqual([]);
    expect(await take(storage, entries.slice(2))).toEqual({ taken: 3, refused: null });
  });

  test("[storage 2] a call that fails takes nothing at all, and others that came with it are taken", async () => {
    const storage = await withRun(emptyStorage());
    const good = chain(byTablet, notes(2));
    const failing = { ...incoming(chain(byDirector, notes(2))), textFrom: () => fail("no text") };
    const unheardOf = chain({ run: "run-9" as RunId, device: tablet }, notes(1));
    const calls = await Promise.allSettled([
      storage.takeSegment(failing, 3_000),
      storage.takeSegment(incoming(unheardOf), 3_000),
      take(storage, good),
    ]);
    expect(calls.map(({ status }) => status)).toEqual(["rejected", "rejected", "fulfilled"]);
    expect(await storage.readHave(run)).toEqual({ [tablet]: 2 });
    expect(await storage.readHead(run)).toBe(1);
  });

  test("[storage 2] of one segment that comes many times at once, one is taken", async () => {
    const storage = await withRun(emptyStorage());
    const entries = chain(byTablet, notes(3));
    const results = await Promise.all(Array.from({ length: 12 }, () => take(storage, entries)));
    const taken = results.map((result) => result.taken).toSorted((a, b) => a - b);
    expect(taken).toEqual([...Array<number>(11).fill(0), 3]);
    expect(results.map(({ refused }) => refused)).toEqual(Array<null>(12).fill(null));
    expect(await storage.readHead(run)).toBe(1);
  });
}

function checkSettingAside(emptyStorage: () => Promise<RecordStorage>): void {
  test("[storage 6] a fork is set aside whole, once, and not listed", async () => {
    const storage = await withRun(emptyStorage());
    const entries = chain(byTablet, notes(4));
    await take(storage, entries.slice(0, 3));
    await take(storage, entries.slice(3));
    const forked = [
      ...entries.slice(0, 2),
      ...chain(
        byTablet,
        [note("otherwise"), note("on it"), note("more")],
        endOf(entries.slice(0, 2)),
      ),
    ];
    const refusal = { taken: 0, refused: { seq: 3, code: "fork" } };
    expect(await take(storage, forked)).toEqual(refusal);
    expect(await take(storage, forked)).toEqual(refusal);
    expect(await take(storage, forked.slice(2, 4))).toEqual(refusal);
    const aside = await storage.readSetAside(run);
    expect(
      aside.map(({ fromSeq, toSeq, code, receivedMs }) => [fromSeq, toSeq, code, receivedMs]),
    ).toEqual([
      [1, 5, "fork", 3_000],
      [3, 4, "fork", 3_000],
    ]);
    expect(aside[0]).toMatchObject({ run, device: tablet, text: incoming(forked).textFrom(1) });
    const reports = aside.map(({ run: _run, digest: _digest, text: _text, ...report }) => report);
    expect(await storage.readSetAsideReports(run)).toEqual(reports);
    const { listed } = await storage.readListed(run, 0, all);
    expect(entriesOf(listed).map(([, entry]) => entry)).toEqual(entries);
    expect(await storage.count()).toMatchObject({ entries: 4, setAside: 2 });
  });

  test("[storage 6] what follows on another entry than the last is set aside", async () => {
    const storage = await withRun(emptyStorage());
    const entries = chain(byTablet, notes(2));
    await take(storage, entries);
    const stray = chain(byTablet, [note("stray")], { seq: 2, digest: "0".repeat(64) });
    const refusal = { taken: 0, refused: { seq: 3, code: "chain" } };
    expect(await take(storage, stray)).toEqual(refusal);
    expect(await storage.readSetAside(run)).toMatchObject([{ fromSeq: 3, code: "chain" }]);
    const right = chain(byTablet, [note("right")], endOf(entries));
    expect(await take(storage, right)).toEqual({ taken: 1, refused: null });
  });

  test("[storage 14] so many pieces are kept, the first ones, and the rest is counted", async () => {
    const storage = await withRun(emptyStorage());
    expect(await storage.setAside(pieceOf(1))).toBe(true);
    expect(await storage.setAside(pieceOf(1))).toBe(false);
    expect(await storage.setAside({ ...pieceOf(1), code: "fork" })).toBe(true);
    for (let number = 2; number < setAsideMax; number += 1) {
      await storage.setAside(pieceOf(number));
    }
    expect(await storage.setAside(pieceOf(setAsideMax))).toBe(false);
    const kept = await storage.readSetAside(run);
    expect(kept).toHaveLength(setAsideMax);
    expect(kept.at(-1)).toEqual(pieceOf(setAsideMax - 1));
    expect(await storage.count()).toMatchObject({ setAside: setAsideMax + 1 });
  });
}

function pieceOf(number: number): SetAsideSegment {
  return {
    run,
    device: "stranger" as DeviceId,
    fromSeq: 1,
    toSeq: number,
    code: "signature",
    receivedMs: number,
    digest: String(number),
    text: "{}",
  };
}

function checkUnveiling(emptyStorage: () => Promise<RecordStorage>): void {
  test("[storage 8] closing lists what was for directors only once more, after it", async () => {
    const storage = await withRun(emptyStorage());
    const entries = chain(byDirector, [
      note("before"),
      arming("glove"),
      note("between"),
      { kind: "run.closed" },
      arming("late"),
      note("after"),
      { kind: "run.closed" },
    ]);
    await take(storage, entries.slice(0, 3));
    await take(storage, chain(byTablet, notes(1)));
    const { listed: before } = await storage.readListed(run, 0, all);
    const digest = endOf(entries.slice(0, 2)).digest;
    expect(before.map((one) => (one.what === "segment" ? one.hidden : null))).toEqual([
      [{ seq: 2, digest }],
      [],
    ]);
    await take(storage, entries.slice(3, 5));
    await take(storage, entries.slice(5));
    const { listed, head } = await storage.readListed(run, 0, all);
    expect(listed.map(({ place, what }) => [place, what])).toEqual([
      [1, "segment"],
      [2, "segment"],
      [3, "segment"],
      [4, "unveiled"],
      [5, "segment"],
    ]);
    const unveiled = listed.find(({ what }) => what === "unveiled") as Listed;
    expect(entriesOf([unveiled]).map(([, entry]) => entry)).toEqual([entries[1], entries[4]]);
    expect(head).toBe(5);
    expect(await storage.readListed(run, 3, 1)).toEqual({ listed: [unveiled], head: 5 });
    expect(await storage.readRun(run)).toMatchObject({ isClosed: true });
    expect(await storage.isDirectorOnly(run, { device: director, seq: 2 })).toBe(true);
    expect(await storage.isDirectorOnly(run, { device: director, seq: 3 })).toBe(false);
    expect(await storage.isDirectorOnly(run, { device: director, seq: 99 })).toBeUndefined();
  });

  test("[storage 8] a run that hides nothing closes without an unveiling", async () => {
    const storage = await withRun(emptyStorage());
    await take(storage, chain(byDirector, [note("on"), { kind: "run.closed" }]));
    expect(await storage.readHead(run)).toBe(1);
    expect(await storage.readRun(run)).toMatchObject({ isClosed: true });
  });

  test("[storage 8] injects that were fired are known", async () => {
    const storage = await withRun(emptyStorage());
    const inject = "glove" as InjectId;
    const firing = {
      kind: "inject.fired",
      inject,
      name: "Glove",
      card: "Cut",
      shownTo: [],
    } as const;
    expect(await storage.readFiredInjects(run)).toEqual(new Set());
    await take(storage, chain(byDirector, [firing]));
    expect(await storage.readFiredInjects(run)).toEqual(new Set([inject]));
    expect(await storage.readFiredInjects("run-2" as RunId)).toEqual(new Set());
  });
}

function checkPlaces(emptyStorage: () => Promise<RecordStorage>): void {
  test("[storage 3] a page ends with the segment in which it reaches so many entries", async () => {
    const storage = await withRun(emptyStorage());
    const entries = chain(byTablet, notes(10));
    for (const [from, to] of [
      [0, 4],
      [4, 5],
      [5, 10],
    ]) {
      await take(storage, entries.slice(from, to));
    }
    const placesOf = async (after: number, most: number) => {
      const { listed, head } = await storage.readListed(run, after, most);
      expect(head).toBe(3);
      return listed.map(({ place }) => place);
    };
    expect(await placesOf(0, 4)).toEqual([1]);
    expect(await placesOf(0, 5)).toEqual([1, 2]);
    expect(await placesOf(0, 6)).toEqual([1, 2, 3]);
    expect(await placesOf(1, 1)).toEqual([2]);
    expect(await placesOf(3, 5)).toEqual([]);
    expect(await storage.readListed("run-2" as RunId, 0, 5)).toEqual({ listed: [], head: 0 });
  });

  test("[storage 3] whoever follows by place, amid many writers, gets all and in one order", async () => {
    const storage = await withRun(emptyStorage());
    await fc.assert(
      fc.asyncProperty(
        fc.array(fc.tuple(fc.nat(3), fc.integer({ min: 1, max: 4 })), { maxLength: 40 }),
        fc.uuid(),
        async (pushes, salt) => {
          const { places, names } = await pushAndFollow(storage, pushes, salt);
          expect(places).toEqual(places.map((_, index) => index + 1));
          const total = pushes.reduce((sum, [, count]) => sum + count, 0);
          expect(new Set(names).size).toBe(total);
          expect(names).toHaveLength(total);
        },
      ),
      { numRuns: 8 },
    );
  });
}

/** Four devices write in turns of their own while one follower reads by place. */
async function pushAndFollow(
  storage: RecordStorage,
  pushes: readonly (readonly [device: number, count: number])[],
  salt: string,
): Promise<{ readonly places: readonly number[]; readonly names: readonly string[] }> {
  const freshRun = `run-${salt}` as RunId;
  await storage.openRun({ ...opening, run: freshRun, recovery: null });
  const ends = new Map<number, { seq: number; digest: string }>();
  const followed: Listed[] = [];
  let isWriting = true;
  const follow = async () => {
    let isLast = false;
    while (!isLast) {
      isLast = !isWriting;
      const { listed } = await storage.readListed(freshRun, followed.at(-1)?.place ?? 0, 3);
      followed.push(...listed);
      // A storage that answers at once must not keep the writers from their turn.
      await setImmediate();
      if (listed.length > 0) isLast = false;
    }
  };
  const write = async (number: number) => {
    const device = `device-${number}` as DeviceId;
    for (const [, count] of pushes.filter(([writer]) => writer === number)) {
      const entries = chain({ run: freshRun, device }, notes(count), ends.get(number) ?? null);
      ends.set(number, endOf(entries));
      await take(storage, entries);
    }
  };
  const following = follow();
  await Promise.all([0, 1, 2, 3].map(write));
  isWriting = false;
  await following;
  return {
    places: followed.map(({ place }) => place),
    names: entriesOf(followed).map(([, { device, seq }]) => `${device} ${seq}`),
  };
}

function fail(says: string): never {
  throw new Error(says);
}

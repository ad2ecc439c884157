import * as fc from "fast-check";
import { expect, test } from "vitest";
import type { Entry } from "../../../../machines/record/entry.ts";
import type { Database } from "../../../../workers/store/database.ts";
import { appendEntry } from "../../../../workers/store/append-entry.ts";
import { entriesOfRun, headsOfRun, readLink } from "../../../../workers/store/read-run.ts";
import { storePulled } from "../../../../workers/store/store-pulled.ts";
import {
  aChain,
  aDatabase,
  aReadSegment,
  me,
  note,
  other,
  pulledOf,
  standIn,
  theRun,
  third,
} from "../../../support/a-database.ts";

function pull(database: Database, entries: readonly Entry[]) {
  return storePulled(database, pulledOf(entries));
}

function listedByHub(database: Database, entries: readonly Entry[]) {
  return storePulled(database, pulledOf(entries, { from: "hub" }));
}

async function held(database: Database) {
  return [
    await entriesOfRun(database, theRun),
    await headsOfRun(database, theRun),
    await database.setAside.toArray(),
  ];
}

test("[store-pulled 1] the same pull twice changes nothing", async () => {
  const database = aDatabase();
  const entries = aChain(other, ["a", "b", "c"]);
  expect(await pull(database, entries)).toMatchObject({ added: 3, replaced: 0, setAside: 0 });
  const before = await held(database);
  expect(await pull(database, entries)).toMatchObject({ added: 0, replaced: 0, setAside: 0 });
  expect(await held(database)).toEqual(before);
});

test("[store-pulled 1] any order, repetition and grouping comes to the same", async () => {
  const all = [...aChain(other, ["a", "b", "c", "d"]), ...aChain(third, ["x", "y", "z"])];
  const straight = aDatabase();
  await pull(straight, all);
  const expected = (await held(straight)).slice(0, 2);
  await fc.assert(
    fc.asyncProperty(
      fc.array(fc.array(fc.nat({ max: all.length - 1 }), { maxLength: 6 }), { maxLength: 6 }),
      fc.shuffledSubarray(all, { minLength: all.length }),
      async (groups, order) => {
        const database = aDatabase();
        for (const group of groups)
          await pull(
            database,
            group.map((index) => all[index]!),
          );
        await pull(database, order);
        expect(await held(database)).toEqual([...expected, []]);
      },
    ),
    { numRuns: 60 },
  );
});

test("[store-pulled 2] [database 3] an entry ahead of a gap waits, and is taken when the gap closes", async () => {
  const database = aDatabase();
  const [a, b, c] = aChain(other, ["a", "b", "c"]);
  await pull(database, [a!, c!]);
  expect(await entriesOfRun(database, theRun)).toEqual([a]);
  expect((await database.setAside.toArray()).map((one) => [one.seq, one.reason])).toEqual([
    [3, "gap"],
  ]);
  await pull(database, [b!]);
  expect(await entriesOfRun(database, theRun)).toEqual([a, b, c]);
  expect(await database.setAside.count()).toBe(0);
});

test("[store-pulled 3] a stand-in gives way to its entry, and not the other way round", async () => {
  const database = aDatabase();
  const entries = aChain(other, ["a", "secret", "c"]);
  const secret = entries[1]!;
  await pull(database, [entries[0]!, standIn(secret), entries[2]!]);
  expect(await pull(database, [secret])).toMatchObject({ added: 0, replaced: 1, setAside: 0 });
  expect(await entriesOfRun(database, theRun)).toEqual(entries);
  expect((await headsOfRun(database, theRun))[0]?.replacements).toBe(1);
  expect(await pull(database, [standIn(secret)])).toMatchObject({
    added: 0,
    replaced: 0,
    setAside: 0,
  });
  expect(await entriesOfRun(database, theRun)).toEqual(entries);
});

test("[store-pulled 3] an entry that is not the one a stand-in stands for is set aside", async () => {
  const database = aDatabase();
  const entries = aChain(other, ["a", "secret"]);
  await pull(database, [entries[0]!, standIn(entries[1]!)]);
  const forged = { ...entries[1]!, body: note("forged") };
  await pull(database, [forged]);
  expect(await entriesOfRun(database, theRun)).toEqual([entries[0], standIn(entries[1]!)]);
  expect((await database.setAside.toArray()).map((one) => one.reason)).toEqual(["fork"]);
});

test("[store-pulled 4] [entry 1] [entry 2] a second entry of one name is set aside, and the first stays", async () => {
  const database = aDatabase();
  const entries = aChain(other, ["a", "b"]);
  await pull(database, entries);
  const fork = { ...entries[1]!, body: note("another b") };
  expect(await pull(database, [fork])).toMatchObject({ added: 0, replaced: 0, setAside: 1 });
  expect(await pull(database, [fork])).toMatchObject({ added: 0, replaced: 0, setAside: 0 });
  expect(await entriesOfRun(database, theRun)).toEqual(entries);
});

test("[store-pulled 4] an entry that follows on another one is set aside", async () => {
  const database = aDatabase();
  const [a] = aChain(other, ["a", "b"]);
  const [, strange] = aChain(other, ["not a", "b"]);
  await pull(database, [a!, strange!]);
  expect(await entriesOfRun(database, theRun)).toEqual([a]);
  expect((await database.setAside.toArray()).map((one) => one.reason)).toEqual(["chain"]);
});

test("[store-pulled 4] own entries that were lost here come back, and the next tap follows on them", async () => {
  const database = aDatabase();
  const own = aChain(me, ["a", "b"]);
  await pull(database, own);
  const tap = { run: theRun, device: me, position: null, body: note("c"), wallMs: 9 };
  expect((await appendEntry(database, tap)).seq).toBe(3);
});

test("[store-pulled 3] what is unveiled takes the place of its stand-in, and of nothing else", async () => {
  const database = aDatabase();
  const entries = aChain(other, ["a", "secret"]);
  await pull(database, [entries[0]!, standIn(entries[1]!)]);
  const forged = { ...entries[1]!, body: note("forged") };
  const unveiled = [forged, { ...entries[0]!, body: note("not a") }];
  expect(await storePulled(database, pulledOf([], { unveiled }))).toMatchObject({ replaced: 0 });
  expect(await storePulled(database, pulledOf([], { unveiled: entries }))).toMatchObject({
    replaced: 1,
  });
  expect(await entriesOfRun(database, theRun)).toEqual(entries);
});

test("[store-pulled 4] what its device has not signed is set aside, and its signed self is taken", async () => {
  const database = aDatabase();
  const entries = aChain(other, ["a"]);
  const forged = [aReadSegment(entries)];
  await storePulled(database, pulledOf([], { forged }));
  expect(await entriesOfRun(database, theRun)).toEqual([]);
  expect((await database.setAside.toArray()).map(({ reason }) => reason)).toEqual(["signature"]);
  await pull(database, entries);
  expect(await entriesOfRun(database, theRun)).toEqual(entries);
});

function texts(name: string, count: number): string[] {
  return Array.from({ length: count }, (_, index) => `${name} ${index}`);
}

test("[store-pulled 6] the branch that the hub lists takes the other's place, wherever it begins", async () => {
  await fc.assert(
    fc.asyncProperty(
      fc.integer({ min: 0, max: 3 }),
      fc.integer({ min: 1, max: 4 }),
      fc.integer({ min: 1, max: 4 }),
      async (common, held, listed) => {
        const here = aChain(other, [...texts("both", common), ...texts("here", held)]);
        const there = aChain(other, [...texts("both", common), ...texts("there", listed)]);
        const database = aDatabase();
        await pull(database, here);
        await listedByHub(database, there);
        expect(await entriesOfRun(database, theRun)).toEqual(there);
        const aside = await database.setAside.toArray();
        expect(aside.map(({ entry }) => entry)).toEqual(here.slice(common));
        await listedByHub(database, there);
        expect(await entriesOfRun(database, theRun)).toEqual(there);
      },
    ),
    { numRuns: 40 },
  );
});

test("[store-pulled 6] another device's branch does not take the place of what is held", async () => {
  const database = aDatabase();
  await listedByHub(database, aChain(other, ["a", "b"]));
  await pull(database, aChain(other, ["a", "not b", "c"]));
  expect((await entriesOfRun(database, theRun)).map(({ body }) => body)).toEqual([
    note("a"),
    note("b"),
  ]);
});

test("[store-pulled 7] own entries that gave way are written again at the end of the own chain", async () => {
  const database = aDatabase();
  await listedByHub(database, aChain(me, ["a"]));
  for (const text of ["new 1", "new 2"]) {
    const tap = { run: theRun, device: me, position: null, body: note(text), wallMs: 77 };
    await appendEntry(database, tap);
  }
  const stored = await listedByHub(database, aChain(me, ["a", "b", "c", "d"]));
  expect(stored.gaveWay).toBe(true);
  const own = await entriesOfRun(database, theRun);
  expect(own.map(({ seq, body }) => [seq, body])).toEqual(
    ["a", "b", "c", "d", "new 1", "new 2"].map((text, index) => [index + 1, note(text)]),
  );
  expect((await readLink(database, theRun)).writtenAgain).toBe(2);
  const aside = await database.setAside.toArray();
  expect(aside.map(({ reason }) => reason)).toEqual(["written-again", "written-again"]);
});

test("[store-pulled 5] entries and cursor are stored together or not at all", async () => {
  const database = aDatabase();
  const failing = storePulled(database, pulledOf(aChain(other, ["a"]), { link: crash }));
  await expect(failing).rejects.toThrow("crash before the cursor");
  expect(await held(database)).toEqual([[], [], []]);
  expect((await readLink(database, theRun)).cursor).toBeNull();
});

function crash(): never {
  throw new Error("crash before the cursor");
}

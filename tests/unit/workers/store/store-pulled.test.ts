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
  me,
  note,
  other,
  standIn,
  theRun,
  third,
} from "../../../support/a-database.ts";

function pull(database: Database, entries: readonly Entry[]) {
  return storePulled(database, { run: theRun, entries, link: (link) => link });
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
  expect(await pull(database, entries)).toEqual({ added: 3, replaced: 0, setAside: 0 });
  const before = await held(database);
  expect(await pull(database, entries)).toEqual({ added: 0, replaced: 0, setAside: 0 });
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
  expect(await pull(database, [secret])).toEqual({ added: 0, replaced: 1, setAside: 0 });
  expect(await entriesOfRun(database, theRun)).toEqual(entries);
  expect((await headsOfRun(database, theRun))[0]?.replacements).toBe(1);
  expect(await pull(database, [standIn(secret)])).toEqual({ added: 0, replaced: 0, setAside: 0 });
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
  expect(await pull(database, [fork])).toEqual({ added: 0, replaced: 0, setAside: 1 });
  expect(await pull(database, [fork])).toEqual({ added: 0, replaced: 0, setAside: 0 });
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

test("[store-pulled 5] entries and cursor are stored together or not at all", async () => {
  const database = aDatabase();
  const failing = storePulled(database, {
    run: theRun,
    entries: aChain(other, ["a"]),
    link: () => {
      throw new Error("crash before the cursor");
    },
  });
  await expect(failing).rejects.toThrow("crash before the cursor");
  expect(await held(database)).toEqual([[], [], []]);
  expect((await readLink(database, theRun)).cursor).toBeNull();
});

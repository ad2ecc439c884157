import { expect, test } from "vitest";
import { entriesOfRun, headsOfRun, readLink } from "../../../../workers/store/read-run.ts";
import { storePulled } from "../../../../workers/store/store-pulled.ts";
import { aChain, aDatabase, other, pulledOf, theRun } from "../../../support/a-database.ts";

test.each([100, 1_000])(
  "[store-pulled 5] %i entries at once are one transaction, at first and again",
  async (count) => {
    const database = aDatabase();
    const entries = aChain(
      other,
      Array.from({ length: count }, (_, index) => `note ${index}`),
    );
    let transactions = 0;
    database.use({
      stack: "dbcore",
      name: "count of transactions",
      create: (core) => ({
        ...core,
        transaction(stores, mode, options) {
          if (mode === "readwrite") transactions += 1;
          return core.transaction(stores, mode, options);
        },
      }),
    });
    const pulled = pulledOf(entries, { link: (link) => ({ ...link, confirmedSeq: 7 }) });
    for (const round of [1, 2]) {
      await storePulled(database, pulled);
      expect(transactions).toBe(round);
      expect(await entriesOfRun(database, theRun)).toEqual(entries);
      expect((await headsOfRun(database, theRun)).map(({ seq }) => seq)).toEqual([count]);
      expect((await readLink(database, theRun)).confirmedSeq).toBe(7);
    }
  },
);

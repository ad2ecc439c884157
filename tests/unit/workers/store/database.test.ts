import { expect, test } from "vitest";
import { databaseName, tablesOfVersion1 } from "../../../../workers/store/database.ts";
import { appendEntry } from "../../../../workers/store/append-entry.ts";
import { aDatabase, me, note, theRun } from "../../../support/a-database.ts";

test("[database 2] version 1 has these tables and keys for ever", async () => {
  expect(databaseName).toBe("lanehold");
  expect(tablesOfVersion1).toEqual({
    procedures: "&identity",
    injectScripts: "&run",
    runs: "&run",
    entries: "&[run+device+seq],[run+body.kind]",
    heads: "&[run+device]",
    signedHeads: "&[run+device+seq]",
    links: "&run",
    setAside: "&[run+device+seq+digest]",
    device: "&key",
    settings: "&name",
  });
});

test("[database 2] what the browser holds is what version 1 declares", async () => {
  const database = aDatabase();
  await database.open();
  const native = database.backendDB();
  const transaction = native.transaction([...native.objectStoreNames], "readonly");
  const keys = [...native.objectStoreNames].map((name) => {
    const store = transaction.objectStore(name);
    return [name, store.keyPath, store.autoIncrement, [...store.indexNames]];
  });
  // Dexie keeps ten numbers of its own for each of ours.
  expect(native.version).toBe(10);
  expect(keys).toEqual([
    ["device", "key", false, []],
    ["entries", ["run", "device", "seq"], false, ["[run+body.kind]"]],
    ["heads", ["run", "device"], false, []],
    ["injectScripts", "run", false, []],
    ["links", "run", false, []],
    ["procedures", "identity", false, []],
    ["runs", "run", false, []],
    ["setAside", ["run", "device", "seq", "digest"], false, []],
    ["settings", "name", false, []],
    ["signedHeads", ["run", "device", "seq"], false, []],
  ]);
});

test("[database 1] [write-durably 1] writes are flushed to the disk: a transaction asks for strict durability", async () => {
  const asked: (string | undefined)[] = [];
  const log: string[] = [];
  // oxlint-disable-next-line typescript/unbound-method -- it is called with its own database below
  const transaction = IDBDatabase.prototype.transaction;
  IDBDatabase.prototype.transaction = function (names, mode, options) {
    const begun = transaction.call(this, names, mode, options);
    if (mode !== "readwrite") return begun;
    asked.push(options?.durability);
    begun.addEventListener("complete", () => log.push("complete"));
    return begun;
  };
  try {
    const database = aDatabase();
    const tap = { run: theRun, device: me, position: null, body: note("a"), wallMs: 1 };
    await appendEntry(database, tap);
    log.push("taken");
  } finally {
    IDBDatabase.prototype.transaction = transaction;
  }
  expect(asked).toEqual(["strict"]);
  expect(log).toEqual(["complete", "taken"]);
});

// Backing up a hub that goes on.

import { spawn, spawnSync } from "node:child_process";
import { once } from "node:events";
import { existsSync, readdirSync, readFileSync, statSync, writeFileSync } from "node:fs";
import { dirname, join } from "node:path";
import Database from "better-sqlite3";
import { expect, onTestFinished, test } from "vitest";
import { backUp } from "../../../../../workers/hub/tasks/backup.ts";
import { BackupDamagedError } from "../../../../../workers/hub/tasks/backup-damaged-error.ts";
import { inspectHubFile } from "../../../../../workers/hub/tasks/inspect-hub-file.ts";
import { TaskRefusedError } from "../../../../../workers/hub/tasks/task-refused-error.ts";
import { projectFolder } from "../../../../support/source-files.ts";
import { aDataFolder, addProcedures, addProcedureSql, aHubFile } from "./a-hub-file.ts";

test("[backup 1] what is committed is in the copy, also what only the journal has yet", () => {
  const folder = aDataFolder();
  const database = aHubFile(folder, 40);
  expect(statSync(join(folder, "hub.sqlite-wal")).size).toBeGreaterThan(40_000);
  const target = join(folder, "monday.backup");
  const report = backUp(folder, target);
  expect(report.rowsByTable["procedures"]).toBe(40);
  expect(report.epoch).toBe(database.prepare("SELECT epoch FROM hub").pluck().get());
  const copy = new Database(target, { readonly: true });
  expect(proceduresOf(copy)).toEqual(proceduresOf(database));
  copy.close();
  addProcedures(database, 1);
  expect(inspectHubFile(target).rowsByTable["procedures"]).toBe(40);
});

test("[backup 1] copies made while another process commits are each between two transactions", async () => {
  const folder = aDataFolder();
  const database = aHubFile(folder, 200);
  // Each transaction adds three procedures.
  const script = `const Database = require("better-sqlite3");
    const database = new Database(process.argv[1]);
    const add = database.prepare(process.argv[2]);
    const addThree = database.transaction(() => { add.run(); add.run(); add.run(); });
    process.stdout.write("ready");
    // Some hundred commits a second, so that the file does not outgrow the copying.
    for (;;) { addThree(); Atomics.wait(new Int32Array(new SharedArrayBuffer(4)), 0, 0, 5); }`;
  const writer = spawn(
    process.execPath,
    ["-e", script, join(folder, "hub.sqlite"), addProcedureSql],
    { cwd: projectFolder, stdio: ["ignore", "pipe", "inherit"] },
  );
  onTestFinished(() => void writer.kill("SIGKILL"));
  await once(writer.stdout, "data");
  const counts: number[] = [];
  for (let time = 0; time < 5; time += 1) {
    const { rowsByTable } = backUp(folder, join(folder, `backup-${time}`));
    counts.push(rowsByTable["procedures"] ?? 0);
  }
  writer.kill("SIGKILL");
  await once(writer, "exit");
  expect(counts.map((count) => (count - 200) % 3)).toEqual(counts.map(() => 0));
  expect(counts.at(-1)).toBeGreaterThan(counts[0] ?? 0);
  const there = Number(database.prepare("SELECT count(*) FROM procedures").pluck().get());
  expect(counts.at(-1)).toBeLessThanOrEqual(there);
});

test("[backup 2] a hub's file that is damaged gives no backup", () => {
  const folder = aDataFolder();
  aHubFile(folder, 300).close();
  const path = join(folder, "hub.sqlite");
  const bytes = readFileSync(path);
  // The middle of the file, page by page: the tree of pages is broken somewhere there.
  for (let page = 20; page < 60; page += 1) bytes.fill(0x5a, page * 4096, page * 4096 + 200);
  writeFileSync(path, bytes);
  const target = join(folder, "monday.backup");
  expect(() => backUp(folder, target)).toThrow();
  expect(readdirSync(folder).filter((name) => name.startsWith("monday"))).toEqual([]);
});

test("[backup 2] the note of the digest is what sha256sum checks the copy by", () => {
  const folder = aDataFolder();
  aHubFile(folder, 10);
  const target = join(folder, "monday.backup");
  backUp(folder, target);
  const check = () =>
    spawnSync("sha256sum", ["--check", "monday.backup.sha256"], { cwd: dirname(target) });
  expect(check().status).toBe(0);
  const bytes = readFileSync(target);
  bytes[bytes.length - 1] = (bytes.at(-1) ?? 0) ^ 1;
  writeFileSync(target, bytes);
  expect(check().status).toBe(1);
});

test("[backup 3] a name that is taken is refused, and what has it is left", () => {
  const folder = aDataFolder();
  aHubFile(folder, 1);
  for (const name of ["a", "b.sha256"]) {
    const path = join(folder, name);
    writeFileSync(path, "something else");
    expect(() => backUp(folder, path.replace(".sha256", ""))).toThrow(TaskRefusedError);
    expect(readFileSync(path, "utf8")).toBe("something else");
  }
});

test("[backup 3] a folder without a hub, and a place that is none, are told plainly", () => {
  const folder = aDataFolder();
  expect(() => backUp(folder, join(folder, "a"))).toThrow(/no hub's file/);
  expect(existsSync(join(folder, "a"))).toBe(false);
  aHubFile(folder, 1);
  expect(() => backUp(folder, join(folder, "none", "a"))).toThrow(TaskRefusedError);
});

test("[backup 4] only the owner may read the copy", () => {
  const folder = aDataFolder();
  aHubFile(folder, 1);
  const target = join(folder, "monday.backup");
  backUp(folder, target);
  for (const path of [target, `${target}.sha256`]) expect(statSync(path).mode & 0o777).toBe(0o600);
  expect(readdirSync(folder).filter((name) => name.includes("unfinished"))).toEqual([]);
});

test("[inspect 1] what is cut, empty, foreign or damaged is no hub's file", () => {
  const folder = aDataFolder();
  aHubFile(folder, 50);
  const target = join(folder, "monday.backup");
  backUp(folder, target);
  const whole = readFileSync(target);
  const foreign = new Database(join(folder, "foreign"));
  foreign.exec("CREATE TABLE x (y); PRAGMA user_version = 1");
  foreign.close();
  const cases: Readonly<Record<string, Buffer>> = {
    empty: Buffer.alloc(0),
    "cut at a page": whole.subarray(0, 4096 * 5),
    "cut in a page": whole.subarray(0, whole.length - 1_000),
    "cut in the head": whole.subarray(0, 50),
    "no database": Buffer.from("a text, not a database ".repeat(500)),
    foreign: readFileSync(join(folder, "foreign")),
  };
  for (const [name, bytes] of Object.entries(cases)) {
    const path = join(folder, "bad");
    writeFileSync(path, bytes);
    expect(() => inspectHubFile(path), name).toThrow(BackupDamagedError);
    expect(readFileSync(path).equals(bytes), name).toBe(true);
  }
});

function proceduresOf(database: Database.Database): readonly unknown[] {
  return database.prepare("SELECT * FROM procedures ORDER BY ordinal").all();
}

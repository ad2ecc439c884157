// The tasks as the command line asks for them: what they say, and what they refuse.

import { existsSync } from "node:fs";
import { join } from "node:path";
import { expect, test } from "vitest";
import { allTasks } from "../../../../../workers/hub/tasks/all-tasks.ts";
import { TaskRefusedError } from "../../../../../workers/hub/tasks/task-refused-error.ts";
import { aConfig } from "../a-config.ts";
import { aDataFolder, aHubFile } from "./a-hub-file.ts";

const nowMs = Date.now();

async function doTask(name: string, operands: readonly string[], config = aConfig()) {
  const task = allTasks.get(name);
  if (task === undefined) throw new Error(`There is no task ${name}.`);
  return (await task(operands, config, nowMs)).join("\n");
}

test("[backup 2] [restore 4] what was backed up and restored is told", async () => {
  const dataFolder = aDataFolder();
  const config = aConfig({ dataFolder });
  aHubFile(dataFolder, 3).close();
  const backup = join(dataFolder, "monday.backup");
  const backedUp = await doTask("backup", [backup], config);
  expect(backedUp).toMatch(/read through after it was written/);
  expect(backedUp).toMatch(/procedures 3/);
  const restored = await doTask("restore", [backup], config);
  expect(restored).toMatch(/procedures 3/);
  expect(restored).toMatch(/The file before is kept: .*before-restore/);
  expect(restored).toMatch(/Every device pulls anew/);
});

test("[backup 3] one file must be named", async () => {
  for (const name of ["backup", "restore"])
    for (const operands of [[], ["a", "b"]])
      await expect(doTask(name, operands)).rejects.toThrow(TaskRefusedError);
});

test("[restore 1] where the records are in PostgreSQL, its own means are pointed to", async () => {
  const config = aConfig({ database: "postgres://nobody@127.0.0.1:1/none" });
  const mendOf = async (name: string) => {
    const cause: unknown = await doTask(name, ["x"], config).catch((thrown: unknown) => thrown);
    return cause instanceof TaskRefusedError ? cause.mend : String(cause);
  };
  expect(await mendOf("backup")).toMatch(/pg_dump/);
  expect(await mendOf("restore")).toMatch(/pg_restore.*new-epoch/);
  await expect(doTask("new-epoch", [])).rejects.toThrow(/LANEHOLD_DATABASE/);
});

test("[authority 3] the command makes an authority, says where its key belongs, and renews", async () => {
  const config = aConfig();
  const made = await doTask("authority", ["hub.example.org", "192.0.2.7"], config);
  expect(made).toMatch(/good for hub\.example\.org, 192\.0\.2\.7/);
  expect(made).toMatch(/authority\.key OFF this machine/);
  expect(made).toMatch(/LANEHOLD_TLS_CERT=/);
  for (const device of ["iPad", "Android", "Windows", "macOS"]) expect(made).toContain(device);
  expect(existsSync(join(config.dataFolder, "tls", "hub.crt"))).toBe(true);
  const fingerprint = /\(SHA-256\): (\S+)/.exec(made)?.[1];
  const renewed = await doTask("authority", [], config);
  expect(/\(SHA-256\): (\S+)/.exec(renewed)?.[1]).toBe(fingerprint);
});

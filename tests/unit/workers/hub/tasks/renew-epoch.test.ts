// Telling devices that a PostgreSQL database was restored.

import { afterAll, beforeAll, expect, test } from "vitest";
import { Client } from "pg";
import { openPostgresStorage } from "../../../../../workers/hub/storage/postgres-storage.ts";
import { renewEpoch } from "../../../../../workers/hub/tasks/renew-epoch.ts";
import { TaskRefusedError } from "../../../../../workers/hub/tasks/task-refused-error.ts";
import { startPostgresCluster } from "../../../../support/postgres-cluster.ts";
import type { PostgresCluster } from "../../../../support/postgres-cluster.ts";

let cluster: PostgresCluster;

beforeAll(async () => {
  cluster = await startPostgresCluster();
});

afterAll(() => cluster.end());

test("[restore 4] [restore 5] a restored database gets a new epoch, and its unused codes are void", async () => {
  const url = await cluster.createDatabase();
  const before = await openPostgresStorage(url);
  await before.close();
  await ask(
    url,
    `INSERT INTO procedures (identity, id, title, revision, summary, text)
       VALUES ('p', 'p', 'Title', '1', '', '{}');
     INSERT INTO runs (run, title, procedure, opened_by, opened_at_ms)
       VALUES ('r', 'Monday', 'p', 'd', 0);
     INSERT INTO invitations (code_digest, run, role, lane, expires_at_ms, used_by) VALUES
       ('open', 'r', 'observer', NULL, 9000000000000, NULL),
       ('used', 'r', 'observer', NULL, 9000000000000, 'x'),
       ('spare', 'r', 'director', NULL, NULL, NULL)`,
  );
  const epoch = await renewEpoch(url);
  expect(epoch).not.toBe(before.epoch);
  const after = await openPostgresStorage(url);
  expect(after.epoch).toBe(epoch);
  await after.close();
  const codes = await ask(url, "SELECT code_digest, expires_at_ms::float8 FROM invitations");
  expect(Object.fromEntries(codes)).toEqual({ open: 0, used: 9e12, spare: null });
});

test("[renew-epoch 1] while a hub is connected the epoch stays", async () => {
  const url = await cluster.createDatabase();
  const running = await openPostgresStorage(url);
  await running.count();
  await expect(renewEpoch(url)).rejects.toThrow(TaskRefusedError);
  await running.close();
  const after = await openPostgresStorage(url);
  expect(after.epoch).toBe(running.epoch);
  await after.close();
});

/** The rows of a statement, as lists, by a client that is not ours. */
async function ask(url: string, text: string): Promise<[string, number | null][]> {
  const client = new Client({ connectionString: url });
  await client.connect();
  try {
    const { rows } = await client.query<[string, number | null]>({ text, rowMode: "array" });
    return rows;
  } finally {
    await client.end();
  }
}

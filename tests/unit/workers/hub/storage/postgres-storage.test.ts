// The storage in PostgreSQL keeps the rules of every storage, and its own.

import { afterAll, beforeAll } from "vitest";
import { openPostgresStorage } from "../../../../../workers/hub/storage/postgres-storage.ts";
import { startPostgresCluster } from "../../../../support/postgres-cluster.ts";
import type { PostgresCluster } from "../../../../support/postgres-cluster.ts";
import { checkRecordStorage } from "./record-storage.suite.ts";

let cluster: PostgresCluster;

beforeAll(async () => {
  cluster = await startPostgresCluster();
});

afterAll(() => cluster.end());

checkRecordStorage(async () => openPostgresStorage(await cluster.createDatabase()));

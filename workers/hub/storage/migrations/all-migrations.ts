// Every migration of the hub's file and of its PostgreSQL database, in order: the first makes version 1
// from nothing.

import { first } from "./001-first.ts";
import { postgresFirst } from "./postgres-001-first.ts";

/** SQL of each migration; the file's `user_version` says how many have run. */
export const allMigrations: readonly string[] = [first];

/** SQL of each migration of PostgreSQL; the version in the table `hub` says how many have run. */
export const allPostgresMigrations: readonly string[] = [postgresFirst];

// Every migration of the hub's file, in order: the first makes version 1 from an empty file.

import { first } from "./001-first.ts";

/** SQL of each migration; the file's `user_version` says how many have run. */
export const allMigrations: readonly string[] = [first];

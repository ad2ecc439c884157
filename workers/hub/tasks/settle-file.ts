// Files that outlive a lost power supply.

import { closeSync, fsyncSync, openSync, renameSync } from "node:fs";
import { dirname } from "node:path";

/** Waits until the disk has what was written to this file or folder. Errors: those of the disk. */
export function settle(path: string): void {
  const file = openSync(path, "r");
  try {
    fsyncSync(file);
  } finally {
    closeSync(file);
  }
}

/** Renames a settled file in one step, and waits until the disk has the name. Errors: those of the disk. */
export function renameSettled(from: string, to: string): void {
  settle(from);
  renameSync(from, to);
  settle(dirname(to));
}

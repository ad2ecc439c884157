// The SHA-256 of a file, and the note of it beside the file, in the form that `sha256sum --check` reads.

import { createHash } from "node:crypto";
import { closeSync, openSync, readFileSync, readSync } from "node:fs";

/** Where the note of a file's digest is. */
export function digestNotePath(path: string): string {
  return `${path}.sha256`;
}

/** The file's digest: 64 hexadecimal digits. Errors: those of the disk. */
export function digestFile(path: string): string {
  const hash = createHash("sha256");
  const piece = Buffer.alloc(1 << 20);
  const file = openSync(path, "r");
  try {
    for (let size = readSync(file, piece); size > 0; size = readSync(file, piece))
      hash.update(piece.subarray(0, size));
  } finally {
    closeSync(file);
  }
  return hash.digest("hex");
}

/** The digest that a note gives; null: there is no note. Errors: those of the disk, but that. */
export function readDigestNote(path: string): string | null {
  try {
    return /^[0-9a-f]*/.exec(readFileSync(digestNotePath(path), "utf8"))?.[0] ?? "";
  } catch (cause) {
    if (cause instanceof Error && Reflect.get(cause, "code") === "ENOENT") return null;
    throw cause;
  }
}

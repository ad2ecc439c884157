// The project's own source files, read as text for the tests of the house.

import { execFileSync } from "node:child_process";
import { existsSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { fileURLToPath } from "node:url";

/** A file of the tree: its path from the project's folder, and its text. */
export type SourceFile = { readonly path: string; readonly text: string };

/** The project's folder. */
export const projectFolder = fileURLToPath(new URL("../..", import.meta.url));

/** Every file that git tracks or would track, by path. */
export function listFiles(): readonly string[] {
  const options = ["ls-files", "--cached", "--others", "--exclude-standard"];
  const listed = execFileSync("git", options, { cwd: projectFolder, encoding: "utf8" });
  return [...new Set(listed.split("\n"))]
    .filter((path) => path !== "" && existsSync(join(projectFolder, path)))
    .sort();
}

/** The files whose path matches. */
export function readFiles(pattern: RegExp): readonly SourceFile[] {
  return listFiles()
    .filter((path) => pattern.test(path))
    .map((path) => ({ path, text: readFileSync(join(projectFolder, path), "utf8") }));
}

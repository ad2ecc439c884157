// Bundles the player of seeds, with or without a planted bug.

import { readFileSync } from "node:fs";
import { join } from "node:path";
import { build } from "vite";
import type { Plugin } from "vite";
import type { Mutant } from "./mutants/mutant.ts";

/**
 * Bundles play-seeds.ts into a folder.
 *
 * @param project the project's folder
 * @param mutant the bug to plant; null: none
 * @returns path of the bundle
 * Errors: if what the mutant replaces is not in its file exactly once, and those of the bundler.
 */
export async function bundlePlayer(
  project: string,
  outDir: string,
  mutant: Mutant | null,
): Promise<string> {
  if (mutant !== null) plant(mutant, readFileSync(join(project, mutant.file), "utf8"));
  await build({
    configFile: false,
    root: project,
    logLevel: "error",
    plugins: mutant === null ? [] : [mutantPlugin(project, mutant)],
    build: {
      ssr: join(project, "tests/simulation/play-seeds.ts"),
      outDir,
      target: "node20",
      minify: false,
      rolldownOptions: { output: { entryFileNames: "play-seeds.mjs" } },
    },
  });
  return join(outDir, "play-seeds.mjs");
}

/** The source with the mutant's bug. Errors: if what it replaces is not there exactly once. */
export function plant({ name, file, find, replace }: Mutant, source: string): string {
  const parts = source.split(find);
  if (parts.length !== 2) {
    throw new Error(`Mutant ${name}: ${file} has its text ${parts.length - 1} times, not once.`);
  }
  return parts.join(replace);
}

function mutantPlugin(project: string, mutant: Mutant): Plugin {
  const path = join(project, mutant.file);
  let isPlanted = false;
  return {
    name: `mutant ${mutant.name}`,
    enforce: "pre",
    transform(source, id) {
      if (id !== path) return null;
      isPlanted = true;
      return plant(mutant, source);
    },
    buildEnd() {
      if (!isPlanted) throw new Error(`Mutant ${mutant.name}: ${mutant.file} is no part of it.`);
    },
  };
}

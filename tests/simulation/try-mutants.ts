// Plants one bug after the other and looks whether the simulation finds it.
// npm run mutants [-- --only name,name] [--seeds 200] [--known] [--write] [--workers 2]
//
// --known: only mutants of which a seed is known that kills them, and only that seed; --write: writes down the seeds that killed.

import { mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { availableParallelism } from "node:os";
import { join } from "node:path";
import { parseArgs } from "node:util";
import { bundlePlayer } from "./bundle.ts";
import { allMutants, mutantNamed } from "./mutants/all-mutants.ts";
import type { Mutant } from "./mutants/mutant.ts";
import type { SeedReport } from "./play-seeds.ts";
import { playInChild } from "./players.ts";

const { values } = parseArgs({
  options: {
    only: { type: "string" },
    seeds: { type: "string", default: "200" },
    known: { type: "boolean", default: false },
    write: { type: "boolean", default: false },
    workers: { type: "string", default: String(availableParallelism()) },
  },
});

const project = process.cwd();
const seedsPath = join(project, "tests/simulation/mutants/killing-seeds.json");
const killingSeeds = JSON.parse(readFileSync(seedsPath, "utf8")) as Record<string, number>;
const outDir = mkdtempSync(join(project, ".build", "mutants-"));
process.on("exit", () => rmSync(outDir, { recursive: true, force: true }));

const waiting =
  values.only === undefined
    ? allMutants.filter(({ name }) => !values.known || killingSeeds[name] !== undefined)
    : values.only.split(",").map(mutantNamed);
const count = waiting.length;
const survivors: string[] = [];
await Promise.all(Array.from({ length: Number(values.workers) }, work));
print(`${count} mutants, ${count - survivors.length} killed, ${survivors.length} survived`);
process.exitCode = survivors.length === 0 ? 0 : 1;

async function work(): Promise<void> {
  for (let mutant = waiting.shift(); mutant !== undefined; mutant = waiting.shift()) {
    const killer = await killerOf(mutant).catch((cause: unknown) => {
      print(`MISPLACED ${mutant.name}: ${cause instanceof Error ? cause.message : String(cause)}`);
      return null;
    });
    if (killer === null) {
      survivors.push(mutant.name);
      print(`SURVIVED  ${mutant.name}: ${mutant.breaks}`);
    } else {
      killingSeeds[mutant.name] = killer.seed;
      if (values.write) {
        writeFileSync(seedsPath, `${JSON.stringify(sorted(killingSeeds), null, 2)}\n`);
      }
      const [fault = ""] = killer.faults;
      print(`killed    ${mutant.name} at seed ${killer.seed}: ${fault.split("\n")[0]}`);
    }
  }
}

async function killerOf(mutant: Mutant): Promise<SeedReport | null> {
  const bundle = await bundlePlayer(project, join(outDir, mutant.name), mutant);
  const known = values.known ? killingSeeds[mutant.name] : undefined;
  const from = known ?? 1;
  const to = known ?? Number(values.seeds);
  let killer: SeedReport | null = null;
  await playInChild(bundle, { from, to, by: 1, options: ["--untilFault"] }, (report) => {
    if (report.faults.length > 0) killer ??= report;
  });
  return killer;
}

function sorted(seeds: Record<string, number>): Record<string, number> {
  return Object.fromEntries(Object.entries(seeds).sort(([a], [b]) => (a < b ? -1 : 1)));
}

function print(line: string): void {
  process.stdout.write(`${line}\n`);
}

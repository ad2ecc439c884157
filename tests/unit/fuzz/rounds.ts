// Rounds of a fuzz test: each of a seed of its own, so that one that failed can be played again alone.
//
// LANEHOLD_FUZZ=50000 plays so many rounds of each test; without it each plays its short set, the same each
// time.
// LANEHOLD_FUZZ_SEED=… begins with that seed; with LANEHOLD_FUZZ=1 it plays just that round again.

import { createSeededRandom } from "../../../machines/base/seeded-random.ts";
import type { SeededRandom } from "../../../machines/base/seeded-random.ts";

/** Long enough for as many rounds as the environment asks for, on a machine that is busy. */
export const fuzzing = { timeout: 120_000 + (numberOf("LANEHOLD_FUZZ") ?? 0) * 250 };

/** How often each outcome came, by a name of the test's own. */
export type Outcomes = Readonly<Record<string, number>>;

/**
 * Plays rounds until one fails; the error then names its seed and the line that plays it again.
 *
 * @param short how many rounds are played unless the environment says otherwise
 * @param play one round; the name of its outcome, to be counted
 * @returns the counts, which are printed too
 */
export async function playRounds(
  name: string,
  short: number,
  play: (random: SeededRandom) => string | Promise<string>,
): Promise<Outcomes> {
  const rounds = numberOf("LANEHOLD_FUZZ") ?? short;
  const first = numberOf("LANEHOLD_FUZZ_SEED") ?? 1;
  const counts = new Map<string, number>();
  for (let seed = first; seed < first + rounds; seed += 1) {
    try {
      const outcome = await play(createSeededRandom(seed));
      counts.set(outcome, (counts.get(outcome) ?? 0) + 1);
    } catch (cause) {
      throw new Error(
        `${name}: seed ${seed} fails. Again: LANEHOLD_FUZZ=1 LANEHOLD_FUZZ_SEED=${seed} ` +
          `npx vitest run --project unit tests/unit/fuzz -t ${JSON.stringify(name)}\n` +
          String(cause instanceof Error ? (cause.stack ?? cause.message) : cause),
        { cause },
      );
    }
  }
  const outcomes = Object.fromEntries(counts);
  const last = first + rounds - 1;
  // oxlint-disable-next-line no-console -- whoever reads the log can play the same rounds again
  console.log(`${name}: seeds ${first} to ${last}: ${JSON.stringify(outcomes)}`);
  return outcomes;
}

/** Whether the rounds are few, so that not every outcome need have come. */
export function isReplay(): boolean {
  return (numberOf("LANEHOLD_FUZZ") ?? Number.POSITIVE_INFINITY) < 100;
}

/** One of several, by chance. */
export function pick<Value>(random: SeededRandom, values: readonly Value[]): Value {
  if (values.length === 0) throw new Error("one of none can't be picked");
  return values[random.nextBelow(values.length)] as Value;
}

function numberOf(name: string): number | null {
  const text = process.env[name] ?? "";
  if (text === "") return null;
  const number = Number(text);
  if (!Number.isSafeInteger(number) || number < 1) throw new Error(`${name} is no whole number`);
  return number;
}

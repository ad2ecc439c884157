// What the hub tells its operator: one JSON object a line.
//
// [log 1] No token, code, body or query is ever in it: a line's fields are named one by one where it is
//   written, and none of them holds a secret.

import type { Clock } from "./clock.ts";

/** From what matters least to what matters most. */
export const logLevels = ["debug", "info", "warn", "error"] as const;

/** How much a line matters. */
export type LogLevel = (typeof logLevels)[number];

/** Writes a line. `event` as `noun.past-participle`. */
export type Log = (
  level: LogLevel,
  event: string,
  fields?: Readonly<Record<string, string | number | boolean | null>>,
) => void;

/**
 * A log of the lines that matter at least as much as `levelMin`.
 *
 * @param write takes a whole line, with its end
 */
export function createLog(
  levelMin: LogLevel,
  clock: Pick<Clock, "nowMs">,
  write: (line: string) => void,
): Log {
  const rankMin = logLevels.indexOf(levelMin);
  return (level, event, fields = {}) => {
    if (logLevels.indexOf(level) < rankMin) return;
    const at = new Date(clock.nowMs()).toISOString();
    write(`${JSON.stringify({ at, level, event, ...fields })}\n`);
  };
}

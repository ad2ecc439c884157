// What the hub is told at its start: by flags, else by the environment, else by these defaults.
//
// [config 1] A setting that cannot be meant so is refused, all of them at once, and nothing starts.

import { parseArgs } from "node:util";
import { resolve } from "node:path";
import { ConfigWrongError } from "./config-wrong-error.ts";
import { logLevels } from "./log.ts";
import type { LogLevel } from "./log.ts";

/** The hub's settings. */
export type Config = {
  /** 0: any that is free. */
  readonly port: number;
  readonly host: string;
  /** Folder of the hub's file; made if it is missing. */
  readonly dataFolder: string;
  /** Folder of the built app. */
  readonly appFolder: string;
  readonly invitationMinutes: number;
  readonly logLevel: LogLevel;
  /** Also print one line of JSON with the address, for programs that start the hub. */
  readonly printsJson: boolean;
};

/**
 * Reads the settings.
 *
 * @param args the command line behind the program's name: `--port 8787 --host 127.0.0.1 --data folder
 *   --app folder --invitation-minutes 10 --log info --json`
 * @param environment `LANEHOLD_PORT`, `LANEHOLD_HOST`, `LANEHOLD_DATA`, `LANEHOLD_APP`,
 *   `LANEHOLD_INVITATION_MINUTES`, `LANEHOLD_LOG`
 * @param appFolderDefault where the app is if nothing says otherwise
 * Errors: `ConfigWrongError`.
 */
export function readConfig(
  args: readonly string[],
  environment: Readonly<Record<string, string | undefined>>,
  appFolderDefault: string,
): Config {
  const flags = readFlags(args);
  const wrong: string[] = [];
  const text = (name: FlagName, otherwise: string): string => {
    const given = flags[name] ?? environment[environmentName(name)] ?? otherwise;
    if (given.trim() === "") wrong.push(`${name} is empty.`);
    return given;
  };
  const whole = (name: FlagName, otherwise: number, [min, max]: readonly [number, number]) => {
    const given = text(name, String(otherwise));
    const value = /^\d+$/.test(given) ? Number(given) : Number.NaN;
    if (value >= min && value <= max) return value;
    wrong.push(`${name} is ${JSON.stringify(given)}; it must be a whole number, ${min} to ${max}.`);
    return otherwise;
  };
  const logText = text("log", "info");
  const logLevel = logLevels.find((level) => level === logText);
  if (logLevel === undefined) wrong.push(`log is none of ${logLevels.join(", ")}.`);
  const config: Config = {
    port: whole("port", 8787, [0, 65_535]),
    host: text("host", "127.0.0.1"),
    dataFolder: resolve(text("data", "data")),
    appFolder: resolve(text("app", appFolderDefault)),
    invitationMinutes: whole("invitation-minutes", 10, [1, 1_440]),
    logLevel: logLevel ?? "info",
    printsJson: flags.json ?? false,
  };
  if (wrong.length > 0) throw new ConfigWrongError(wrong);
  return config;
}

const options = {
  port: { type: "string" },
  host: { type: "string" },
  data: { type: "string" },
  app: { type: "string" },
  "invitation-minutes": { type: "string" },
  log: { type: "string" },
  json: { type: "boolean" },
} as const;

type FlagName = Exclude<keyof typeof options, "json">;

function readFlags(args: readonly string[]) {
  try {
    return parseArgs({ args: [...args], options, strict: true, allowPositionals: false }).values;
  } catch (cause) {
    throw new ConfigWrongError([cause instanceof Error ? cause.message : String(cause)]);
  }
}

function environmentName(name: FlagName): string {
  return `LANEHOLD_${name.toUpperCase().replaceAll("-", "_")}`;
}

// What the hub is told at its start: by flags, else by the environment, else by these defaults.
//
// [config 1] A setting that cannot be meant so is refused, all of them at once, and nothing starts.

import { parseArgs } from "node:util";
import { resolve } from "node:path";
import { ConfigWrongError } from "./config-wrong-error.ts";
import { logLevels } from "./log.ts";
import type { LogLevel } from "./log.ts";
import type { CertificateFiles } from "./tls/load-certificate.ts";

/** The hub's settings. */
export type Config = {
  /** 0: any that is free. */
  readonly port: number;
  readonly host: string;
  /** Folder of the hub's file; made if it is missing. */
  readonly dataFolder: string;
  /** "postgres://…": the database that several hubs share, in place of the file. Null: the file. */
  readonly database: string | null;
  /** Folder of the built app. */
  readonly appFolder: string;
  readonly invitationMinutes: number;
  readonly logLevel: LogLevel;
  /** What TLS is served with; null: plain HTTP is served, which browsers trust on this machine only. */
  readonly tls: TlsConfig | null;
  /** For so long after the hub was told to stop it still takes requests, but calls itself draining. */
  readonly drainNoticeSeconds: number;
  /** Also print one line of JSON with the address, for programs that start the hub. */
  readonly printsJson: boolean;
};

/** How the hub serves TLS. */
export type TlsConfig = CertificateFiles & {
  /** Where plain HTTP leads to TLS and shows how to trust the hub; null: nowhere. */
  readonly httpPort: number | null;
};

/** A command besides starting the hub: what it is about, and the hub's settings. */
export type TaskConfig = { readonly operands: readonly string[]; readonly config: Config };

/**
 * Reads the settings.
 *
 * @param args the command line behind the program's name: `--port 8787 --host 127.0.0.1 --data folder
 *   --database postgres://user@host/name --app folder --invitation-minutes 10 --log info
 *   --tls-cert file --tls-key file --tls-authority file --http-port 8080
 *   --drain-notice-seconds 0 --json`
 * @param environment `LANEHOLD_PORT` and so on: each flag but the last in capitals, with underscores
 * @param appFolderDefault where the app is if nothing says otherwise
 * Errors: `ConfigWrongError`.
 */
export function readConfig(
  args: readonly string[],
  environment: Readonly<Record<string, string | undefined>>,
  appFolderDefault: string,
): Config {
  const { config, operands } = readTaskConfig(args, environment, appFolderDefault);
  const [operand] = operands;
  if (operand !== undefined) throw new ConfigWrongError([`${operand} is no flag.`]);
  return config;
}

/** As `readConfig`, for a command that also takes operands: names of files, hosts. */
export function readTaskConfig(
  args: readonly string[],
  environment: Readonly<Record<string, string | undefined>>,
  appFolderDefault: string,
): TaskConfig {
  const { values: flags, positionals: operands } = readFlags(args);
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
  const path = (name: FlagName): string | null => {
    const isGiven = (flags[name] ?? environment[environmentName(name)] ?? "") !== "";
    return isGiven ? resolve(text(name, "")) : null;
  };
  const logText = text("log", "info");
  const logLevel = logLevels.find((level) => level === logText);
  if (logLevel === undefined) wrong.push(`log is none of ${logLevels.join(", ")}.`);
  const config: Config = {
    port: whole("port", 8787, [0, 65_535]),
    host: text("host", "127.0.0.1"),
    dataFolder: resolve(text("data", "data")),
    database: databaseOf(flags.database ?? environment["LANEHOLD_DATABASE"] ?? "", wrong),
    appFolder: resolve(text("app", appFolderDefault)),
    invitationMinutes: whole("invitation-minutes", 10, [1, 1_440]),
    logLevel: logLevel ?? "info",
    tls: tlsOf({
      certificateFile: path("tls-cert"),
      keyFile: path("tls-key"),
      authorityFile: path("tls-authority"),
      httpPort: path("http-port") === null ? null : whole("http-port", 0, [0, 65_535]),
      wrongMutable: wrong,
    }),
    drainNoticeSeconds: whole("drain-notice-seconds", 0, [0, 600]),
    printsJson: flags.json ?? false,
  };
  if (wrong.length > 0) throw new ConfigWrongError(wrong);
  return { operands, config };
}

// What is wrong is told without the address: it may hold a password.
function databaseOf(given: string, wrongMutable: string[]): string | null {
  if (given === "") return null;
  if (!/^postgres(ql)?:\/\/./.test(given)) {
    wrongMutable.push("database must begin with postgres://.");
  }
  return given;
}

type TlsGiven = Readonly<Record<keyof CertificateFiles, string | null>> & {
  readonly httpPort: number | null;
  readonly wrongMutable: string[];
};

function tlsOf({ wrongMutable, certificateFile, keyFile, ...others }: TlsGiven): TlsConfig | null {
  if (certificateFile !== null && keyFile !== null) return { ...others, certificateFile, keyFile };
  const hasSome = [certificateFile, keyFile, ...Object.values(others)].some((one) => one !== null);
  if (hasSome)
    wrongMutable.push("tls-cert and tls-key go together, and all else of TLS needs them.");
  return null;
}

const options = {
  port: { type: "string" },
  host: { type: "string" },
  data: { type: "string" },
  database: { type: "string" },
  app: { type: "string" },
  "invitation-minutes": { type: "string" },
  log: { type: "string" },
  "tls-cert": { type: "string" },
  "tls-key": { type: "string" },
  "tls-authority": { type: "string" },
  "http-port": { type: "string" },
  "drain-notice-seconds": { type: "string" },
  json: { type: "boolean" },
} as const;

type FlagName = Exclude<keyof typeof options, "json">;

function readFlags(args: readonly string[]) {
  try {
    return parseArgs({ args: [...args], options, strict: true, allowPositionals: true });
  } catch (cause) {
    throw new ConfigWrongError([cause instanceof Error ? cause.message : String(cause)]);
  }
}

function environmentName(name: FlagName): string {
  return `LANEHOLD_${name.toUpperCase().replaceAll("-", "_")}`;
}

// A PostgreSQL of the test's own: a new cluster in a temporary folder, reached by a socket in it.

import { spawn, spawnSync } from "node:child_process";
import {
  chmodSync,
  chownSync,
  existsSync,
  mkdtempSync,
  readFileSync,
  readdirSync,
  rmSync,
} from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { setTimeout } from "node:timers/promises";
import { Client } from "pg";

/** A cluster that runs. */
export type PostgresCluster = {
  /** Makes an empty database; its address. */
  readonly createDatabase: () => Promise<string>;
  /** Kills the server and all its processes at once, as a lost power supply would. */
  readonly kill: () => Promise<void>;
  readonly start: () => Promise<void>;
  /** Ends the server and removes everything. */
  readonly end: () => Promise<void>;
};

/**
 * Starts a new cluster.
 *
 * @param waitsForDisk whether a commit waits for the disk, as it must where that is what is tested
 * Errors: if PostgreSQL is not installed; `npm test` installs it.
 */
export async function startPostgresCluster(waitsForDisk = false): Promise<PostgresCluster> {
  const folder = mkdtempSync(join(tmpdir(), "lanehold-pg-"));
  // PostgreSQL does not run as root.
  const user = process.getuid?.() === 0 ? "postgres" : null;
  if (user !== null) chownSync(folder, idOf(user, "-u"), idOf(user, "-g"));
  chmodSync(folder, 0o700);
  const data = join(folder, "data");
  const run = (program: string, args: readonly string[]) => commandAs(user, program, args);
  const [initdb, initArgs] = run("initdb", [
    "-D",
    data,
    "-U",
    "postgres",
    "-A",
    "trust",
    "-E",
    "UTF8",
  ]);
  const made = spawnSync(initdb, [...initArgs, "--no-locale", "--no-sync"], {
    cwd: folder,
    encoding: "utf8",
  });
  if (made.status !== 0) throw new Error(`initdb: ${made.stderr} ${made.error?.message ?? ""}`);
  const urlOf = (database: string) =>
    `postgres://postgres@${encodeURIComponent(folder)}:5432/${database}`;
  let databases = 0;

  async function start(): Promise<void> {
    const settings = ["-c", "listen_addresses=", "-c", `unix_socket_directories=${folder}`];
    const disk = ["-c", `fsync=${waitsForDisk ? "on" : "off"}`];
    const [postgres, args] = run("postgres", ["-D", data, ...settings, ...disk, "-p", "5432"]);
    const server = spawn(postgres, [...args], { cwd: folder, stdio: ["ignore", "ignore", "pipe"] });
    let says = "";
    server.stderr.on("data", (chunk: Buffer) => (says += chunk.toString()));
    for (let attempt = 0; attempt < 600; attempt += 1) {
      if (server.exitCode !== null) throw new Error(`PostgreSQL ended: ${says}`);
      if (await answers(urlOf("postgres"))) return;
      await setTimeout(50);
    }
    throw new Error(`PostgreSQL does not answer: ${says}`);
  }

  async function stop(signal: NodeJS.Signals): Promise<void> {
    const pid = postmasterOf(data);
    if (pid === null) return;
    const pids = signal === "SIGKILL" ? [pid, ...childrenOf(pid)] : [pid];
    for (const one of pids) signalTo(one, signal);
    while (pids.some(isAlive)) await setTimeout(20);
  }

  await start();
  return {
    async createDatabase() {
      databases += 1;
      const name = `test_${databases}`;
      const client = new Client(urlOf("postgres"));
      await client.connect();
      await client.query(`CREATE DATABASE ${name}`);
      await client.end();
      return urlOf(name);
    },
    kill: () => stop("SIGKILL"),
    start,
    async end() {
      await stop("SIGINT");
      rmSync(folder, { recursive: true });
    },
  };
}

function commandAs(
  user: string | null,
  program: string,
  args: readonly string[],
): readonly [string, readonly string[]] {
  const path = join(programsFolder(), program);
  return user === null ? [path, args] : ["runuser", ["-u", user, "--", path, ...args]];
}

function programsFolder(): string {
  const root = "/usr/lib/postgresql";
  const versions = existsSync(root) ? readdirSync(root).filter((name) => /^\d+$/.test(name)) : [];
  const newest = versions.toSorted((a, b) => Number(b) - Number(a))[0];
  const folder = process.env["LANEHOLD_POSTGRES"] ?? join(root, newest ?? "", "bin");
  if (!existsSync(join(folder, "initdb"))) throw new Error("PostgreSQL is not installed.");
  return folder;
}

function idOf(user: string, flag: "-u" | "-g"): number {
  return Number(spawnSync("id", [flag, user], { encoding: "utf8" }).stdout);
}

async function answers(url: string): Promise<boolean> {
  const client = new Client({ connectionString: url, connectionTimeoutMillis: 1_000 });
  client.on("error", () => undefined);
  try {
    await client.connect();
    await client.query("SELECT 1");
    return true;
  } catch {
    return false;
  } finally {
    await client.end().catch(() => undefined);
  }
}

function postmasterOf(data: string): number | null {
  const file = join(data, "postmaster.pid");
  if (!existsSync(file)) return null;
  const pid = Number(readFileSync(file, "utf8").split("\n")[0]);
  return isAlive(pid) ? pid : null;
}

function childrenOf(pid: number): readonly number[] {
  const tasks = readFileSync(`/proc/${pid}/task/${pid}/children`, "utf8").trim();
  return tasks === "" ? [] : tasks.split(" ").map(Number);
}

function isAlive(pid: number): boolean {
  try {
    // One that has ended and that nobody has asked about yet still has a number.
    return !/\) Z /.test(readFileSync(`/proc/${pid}/stat`, "utf8"));
  } catch {
    return false;
  }
}

function signalTo(pid: number, signal: NodeJS.Signals): void {
  try {
    process.kill(pid, signal);
  } catch {
    // It has ended by itself.
  }
}

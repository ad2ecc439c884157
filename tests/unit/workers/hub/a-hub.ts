// A hub without a socket for tests: real storage in a real file, a clock turned by hand.

import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { dirname, join } from "node:path";
import Database from "better-sqlite3";
import { onTestFinished } from "vitest";
import type { Identity } from "../../../../machines/procedure/ids.ts";
import type { Entry, EntryBody, Role } from "../../../../machines/record/entry.ts";
import type { DeviceId, RunId } from "../../../../machines/record/ids.ts";
import { protocolHeader } from "../../../../machines/sync/protocol-version.ts";
import { readPullAnswer } from "../../../../machines/sync/pull.ts";
import type { PullAnswer, PullCursor } from "../../../../machines/sync/pull.ts";
import { readRefusal } from "../../../../machines/sync/refusal.ts";
import type { Refusal } from "../../../../machines/sync/refusal.ts";
import { bringDocuments } from "../../../../workers/hub/bring-documents.ts";
import { createEventStreams } from "../../../../workers/hub/event-streams.ts";
import type { Hub } from "../../../../workers/hub/hub.ts";
import { createLimits } from "../../../../workers/hub/limits.ts";
import { createLog } from "../../../../workers/hub/log.ts";
import { createMetrics } from "../../../../workers/hub/metrics.ts";
import { storedProcedure } from "../../../../workers/hub/routes/procedures.ts";
import { createHubApp } from "../../../../workers/hub/server.ts";
import { openSqliteStorage } from "../../../../workers/hub/storage/sqlite-storage.ts";
import { createToken } from "../../../../workers/keys/random-token.ts";
import { aProcedure } from "../../../support/a-procedure.ts";
import { handClock } from "./hand-clock.ts";
import type { HandClock } from "./hand-clock.ts";
import { chain, endOf } from "./incoming-entries.ts";

/** A hub to ask. */
export type TestHub = {
  readonly hub: Hub;
  readonly clock: HandClock;
  readonly logLines: readonly string[];
  readonly procedure: Identity;
  /** Asks with the protocol's header; a `json` body is sent as JSON. */
  readonly ask: (method: string, path: string, options?: AskOptions) => Promise<Response>;
  /** Everything that the file holds, but when devices were last heard of. */
  readonly dump: () => string;
};

/** What goes with a request. */
export type AskOptions = {
  readonly token?: string;
  readonly json?: unknown;
  readonly body?: BodyInit;
  readonly headers?: Readonly<Record<string, string>>;
};

/** A device that is in a run. */
export type TestDevice = {
  readonly device: DeviceId;
  readonly token: string;
  /** Goes on with its chain of entries. */
  readonly write: (...bodies: readonly EntryBody[]) => readonly Entry[];
};

/** The run of these tests. */
export const run = "run-1" as RunId;

/** An empty hub with one procedure and the files of an app; gone when the test ends. */
export async function aHub(): Promise<TestHub> {
  const folder = mkdtempSync(join(tmpdir(), "lanehold-hub-"));
  const path = join(folder, "hub.sqlite");
  const clock = handClock();
  const logLines: string[] = [];
  const storage = openSqliteStorage(path);
  const hub: Hub = {
    storage,
    clock,
    streams: createEventStreams(clock),
    limits: createLimits(clock),
    metrics: createMetrics(),
    log: createLog("debug", clock, (line) => logLines.push(line)),
    appFolder: join(folder, "app"),
    invitationMs: 600_000,
    randomBelow: counting(),
  };
  onTestFinished(async () => {
    hub.streams.endAll();
    await storage.close();
    rmSync(folder, { recursive: true });
  });
  const procedure = aProcedure();
  await bringDocuments(storage, { procedures: [procedure], injectScripts: [] });
  const app = createHubApp(hub);
  return {
    hub,
    clock,
    logLines,
    procedure: storedProcedure(procedure).identity,
    async ask(method, target, { token, json, body, headers = {} } = {}) {
      const authorization = token === undefined ? {} : { authorization: `Bearer ${token}` };
      const request = {
        method,
        headers: { [protocolHeader]: "1", ...authorization, ...headers },
        body: json === undefined ? (body ?? null) : JSON.stringify(json),
      };
      const withoutSocket = {};
      return await app.request(target, request, withoutSocket);
    },
    dump: () => dumpOf(path),
  };
}

/** Writes a file of the app. */
export function putAppFile({ hub }: TestHub, path: string, text: string): void {
  const full = join(hub.appFolder, path);
  mkdirSync(dirname(full), { recursive: true });
  writeFileSync(full, text);
}

/** Opens the run; the device is its director. */
export async function openRun({ ask, procedure }: TestHub): Promise<TestDevice> {
  const director = aDevice("director");
  const { device, token } = director;
  const json = { run, device, deviceName: "Desk", token, title: "Monday", procedure };
  const answer = await ask("POST", "/api/runs", { json });
  if (answer.status !== 200) throw new Error(await answer.text());
  return director;
}

/** Lets a device in with a code of the director's. */
export async function letIn(
  testHub: TestHub,
  director: TestDevice,
  { name, role, lane = null }: { name: string; role: Role; lane?: string | null },
): Promise<TestDevice> {
  const newcomer = aDevice(name);
  const code = await invite(testHub, director, { role, lane });
  const answer = await testHub.ask("POST", "/api/join", { json: joinJson(newcomer, code) });
  if (answer.status !== 200) throw new Error(await answer.text());
  return newcomer;
}

/** A code for a role. */
export async function invite(
  { ask }: TestHub,
  { token }: TestDevice,
  json: { role: Role; lane: string | null },
): Promise<string> {
  const answer = await ask("POST", `/api/runs/${run}/invitations`, { token, json });
  if (answer.status !== 200) throw new Error(await answer.text());
  const { code } = (await answer.json()) as { code: string };
  return code;
}

/** A device that is nowhere yet. */
export function aDevice(name: string): TestDevice {
  const device = `${name}-device` as DeviceId;
  let end: { seq: number; digest: string } | null = null;
  return {
    device,
    token: createToken(),
    write(...bodies) {
      const entries = chain({ run, device }, bodies, end);
      end = endOf(entries);
      return entries;
    },
  };
}

/** The body of a request to join. */
export function joinJson({ device, token }: TestDevice, code: string): Record<string, string> {
  return { code, device, deviceName: `Tablet ${device}`, token };
}

/** Pushes; the answer's body. */
export async function push(
  { ask }: TestHub,
  { token }: TestDevice,
  entries: readonly Entry[],
): Promise<unknown> {
  const answer = await ask("POST", `/api/runs/${run}/entries`, { token, json: { entries } });
  return await answer.json();
}

/** Pulls one page from a cursor on, as the reader of the wire sees it. */
export async function pull(
  { ask }: TestHub,
  { token }: TestDevice,
  cursor: PullCursor | null = null,
): Promise<PullAnswer> {
  const query = cursor === null ? "" : `?epoch=${cursor.epoch}&after=${cursor.after}`;
  const answer = await ask("GET", `/api/runs/${run}/entries${query}`, { token });
  const { value, faults } = readPullAnswer(await answer.json());
  if (value === null) throw new Error(JSON.stringify(faults));
  return value;
}

/** The body of a refusal, as the reader of the wire sees it. */
export async function refusalOf(answer: Response): Promise<Refusal> {
  const { value, faults } = readRefusal(await answer.json());
  if (value === null) throw new Error(JSON.stringify(faults));
  return value;
}

function dumpOf(path: string): string {
  const file = new Database(path, { readonly: true });
  try {
    const tables = file
      .prepare<[], { name: string }>(
        "SELECT name FROM sqlite_schema WHERE type = 'table' AND name NOT LIKE 'sqlite_%'",
      )
      .all();
    const rows = tables.map(({ name }) => [
      name,
      file
        .prepare<[], Record<string, unknown>>(`SELECT * FROM ${name}`)
        .all()
        .map(({ last_heard_ms: _lastHeardMs, ...row }) => row),
    ]);
    return JSON.stringify(rows, null, 1);
  } finally {
    file.close();
  }
}

// Numbers that differ from code to code, the same in every run of a test.
function counting(): (bound: number) => number {
  let count = 0;
  return (bound) => {
    count += 7;
    return (count + Math.floor(count / 20)) % bound;
  };
}

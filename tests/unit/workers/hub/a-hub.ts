// A hub without a socket for tests: real storage in a real file, a clock turned by hand.

import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { dirname, join } from "node:path";
import Database from "better-sqlite3";
import { onTestFinished } from "vitest";
import type { Identity } from "../../../../machines/procedure/ids.ts";
import type { Entry, EntryBody, Role } from "../../../../machines/record/entry.ts";
import type { DeviceId, RunId } from "../../../../machines/record/ids.ts";
import { protocolHeader, protocolVersion } from "../../../../machines/sync/protocol-version.ts";
import { joiningText } from "../../../../machines/sync/join.ts";
import type { JoinRequest } from "../../../../machines/sync/join.ts";
import { openingText } from "../../../../machines/sync/open.ts";
import type { OpenRequest } from "../../../../machines/sync/open.ts";
import { readPushAnswer } from "../../../../machines/sync/push.ts";
import type { PushAnswer } from "../../../../machines/sync/push.ts";
import { createSegment, readSegment } from "../../../../machines/sync/segment.ts";
import type { Segment } from "../../../../machines/sync/segment.ts";
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
import { createStanding } from "../../../../workers/hub/standing.ts";
import { openSqliteStorage } from "../../../../workers/hub/storage/sqlite-storage.ts";
import { createDeviceKey } from "../../../../workers/keys/device-key.ts";
import type { DeviceKey } from "../../../../workers/keys/device-key.ts";
import { sha256Hex } from "../../../../workers/keys/sha-256.ts";
import { signHead } from "../../../../workers/keys/sign-head.ts";
import { signText } from "../../../../workers/keys/sign-text.ts";
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
  readonly key: DeviceKey;
  /** Goes on with its chain of entries. */
  readonly write: (...bodies: readonly EntryBody[]) => readonly Entry[];
};

/** What a pull brought, its segments read. */
export type Pulled = PullAnswer & { readonly entries: readonly Entry[] };

const rootKey = await createDeviceKey();
/** The run of these tests. */
export const run = `${rootKey.device}.run` as RunId;

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
    standing: createStanding(),
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
        headers: { [protocolHeader]: String(protocolVersion), ...authorization, ...headers },
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
  const director = theOpener();
  const answer = await ask("POST", "/api/runs", { json: await openJson(director, procedure) });
  if (answer.status !== 200) throw new Error(await answer.text());
  return director;
}

/** The device that the run's id names. */
export function theOpener(): TestDevice {
  return deviceOf(rootKey);
}

/** The body of a request to open the run, the proof for just this. */
export async function openJson(
  { device, token, key }: TestDevice,
  procedure: Identity,
  other: Partial<OpenRequest> = {},
): Promise<OpenRequest> {
  const request = {
    run,
    device,
    deviceName: "Desk",
    token,
    title: "Monday",
    procedure,
    recovery: null,
    key: key.publicKey,
    ...other,
  };
  return { ...request, proof: await signText(key.privateKey, openingText(request)), ...other };
}

/** Lets a device in with a code of the director's. */
export async function letIn(
  testHub: TestHub,
  director: TestDevice,
  { role, lane = null }: { role: Role; lane?: string | null },
): Promise<TestDevice> {
  const newcomer = await aDevice();
  const code = await invite(testHub, director, { role, lane });
  const answer = await testHub.ask("POST", "/api/join", { json: await joinJson(newcomer, code) });
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
export async function aDevice(): Promise<TestDevice> {
  return deviceOf(await createDeviceKey());
}

function deviceOf(key: DeviceKey): TestDevice {
  const { device } = key;
  let end: { seq: number; digest: string } | null = null;
  return {
    device,
    key,
    token: createToken(),
    write(...bodies) {
      const entries = chain({ run, device }, bodies, end);
      end = endOf(entries);
      return entries;
    },
  };
}

/** The body of a request to join. */
export async function joinJson(
  { device, token, key }: TestDevice,
  code: string,
): Promise<JoinRequest> {
  const request = { code, device, deviceName: `Tablet ${device}`, token, key: key.publicKey };
  return { ...request, proof: await signText(key.privateKey, joiningText(request)) };
}

/** A segment of entries that the device wrote, signed by it. */
export async function signed({ key }: TestDevice, entries: readonly Entry[]): Promise<Segment> {
  const { seq, digest } = endOf(entries);
  const inRun = entries[0]?.run ?? run;
  return createSegment(entries, await signHead(key, { run: inRun, seq, digest }));
}

/** Pushes what the device wrote as one segment; the answer's body. */
export async function push(
  testHub: TestHub,
  device: TestDevice,
  entries: readonly Entry[],
): Promise<PushAnswer> {
  const segments = entries.length === 0 ? [] : [await signed(device, entries)];
  return await pushSegments(testHub, device, segments);
}

/** Pushes segments, whoever signed them; the answer's body as the reader of the wire sees it. */
export async function pushSegments(
  { ask }: TestHub,
  { token }: TestDevice,
  segments: readonly unknown[],
): Promise<PushAnswer> {
  const answer = await ask("POST", `/api/runs/${run}/entries`, { token, json: { segments } });
  const body: unknown = await answer.json();
  const { value, faults } = readPushAnswer(body);
  if (value === null) throw new Error(`${JSON.stringify(body)} ${JSON.stringify(faults)}`);
  return value;
}

/** Pulls one page from a cursor on, as the reader of the wire sees it. */
export async function pull(
  { ask }: TestHub,
  { token }: TestDevice,
  cursor: PullCursor | null = null,
): Promise<Pulled> {
  const query = cursor === null ? "" : `?epoch=${cursor.epoch}&after=${cursor.after}`;
  const answer = await ask("GET", `/api/runs/${run}/entries${query}`, { token });
  const { value, faults } = readPullAnswer(await answer.json());
  if (value === null) throw new Error(JSON.stringify(faults));
  return { ...value, entries: value.segments.flatMap(entriesOfSegment) };
}

/** The entries of a segment from a pull; it must be whole. */
export function entriesOfSegment(value: unknown): readonly Entry[] {
  const { segment, faults } = readSegment(value, "", sha256Hex);
  if (segment === null) throw new Error(JSON.stringify(faults));
  return segment.entries;
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

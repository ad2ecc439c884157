// From a push to what a follower sees, over real sockets: the hub against a server that only echoes.

import { fork } from "node:child_process";
import type { ChildProcess } from "node:child_process";
import { once } from "node:events";
import { mkdtempSync, rmSync } from "node:fs";
import { createServer } from "node:http";
import type { ServerResponse } from "node:http";
import type { AddressInfo } from "node:net";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { setTimeout } from "node:timers/promises";
import { fileURLToPath } from "node:url";
import { protocolHeader, protocolVersion } from "../../machines/sync/protocol-version.ts";
import { systemClock } from "../../workers/hub/clock.ts";
import { readConfig } from "../../workers/hub/config.ts";
import { startHub } from "../../workers/hub/start-hub.ts";
import { openSqliteStorage } from "../../workers/hub/storage/sqlite-storage.ts";
import { makeDevices } from "./hub-devices.ts";
import type { BenchDevice } from "./hub-devices.ts";

const taps = Number(process.env["LANEHOLD_TAPS"] ?? 1_000);
const warmingUp = 25;
const followers = 20;
// Below what the hub lets a device ask.
const pauseMs = 30;
const serves = process.env["LANEHOLD_BENCH_SERVES"];

/** Prints the latencies and their ratios; in a process that was started to serve, serves. */
export async function benchFollowing(): Promise<void> {
  if (serves === "echo") return serveEcho();
  if (serves !== undefined) return await serveHub(serves);
  const folder = mkdtempSync(join(tmpdir(), "lanehold-bench-"));
  const storage = openSqliteStorage(join(folder, "hub.sqlite"));
  const part = taps + warmingUp;
  const load = { pushes: 2 * part, entriesPerPush: 1 };
  const sizes = { devices: followers + 1, devicesPerRun: followers + 1 };
  const [writer, ...following] = await makeDevices(storage, sizes, load);
  await storage.close();
  if (writer === undefined) throw new Error("a device was made");
  const echo = await startServer("echo");
  const hub = await startServer(folder);
  const timing = { writer, following };
  const [first, second] = [writer.bodies.slice(0, part), writer.bodies.slice(part)];
  try {
    const echoMs = await timeTaps({ ...echo, ...timing, bodies: first, pulls: false });
    const hints = await timeTaps({ ...hub, ...timing, bodies: first, pulls: false });
    const pulled = await timeTaps({ ...hub, ...timing, bodies: second, pulls: true });
    console.log(`a tap to ${followers} followers, ${echoMs.length} taps`);
    print("echo", echoMs, echoMs);
    print("hub, to the hint", hints, echoMs);
    print("hub, to the entries pulled", pulled, echoMs);
  } finally {
    await stopServer(echo.child);
    await stopServer(hub.child);
    rmSync(folder, { recursive: true });
  }
}

type Server = { readonly child: ChildProcess; readonly address: string };

async function startServer(what: string): Promise<Server> {
  const child = fork(fileURLToPath(import.meta.url), {
    env: { ...process.env, LANEHOLD_BENCH_SERVES: what },
  });
  const [address] = (await once(child, "message")) as [string];
  return { child, address };
}

async function stopServer(child: ChildProcess): Promise<void> {
  child.kill("SIGKILL");
  await once(child, "exit");
}

async function serveHub(folder: string): Promise<void> {
  const config = { ...readConfig(["--port", "0"], {}, "none"), dataFolder: folder };
  const documents = { procedures: [], injectScripts: [] };
  const { address } = await startHub(config, documents, {
    clock: systemClock,
    log: () => undefined,
  });
  process.send?.(address);
}

function serveEcho(): void {
  const streams = new Set<ServerResponse>();
  const server = createServer((request, response) => {
    if (request.method === "GET") {
      response.writeHead(200, { "content-type": "text/event-stream" });
      response.write(": hello\n\n");
      streams.add(response);
      return;
    }
    let body = "";
    request.on("data", (chunk: Buffer) => (body += chunk.toString()));
    request.on("end", () => {
      for (const stream of streams) stream.write(`event: entries\ndata: ${body.length}\n\n`);
      response.end("{}");
    });
  });
  server.listen(0, "127.0.0.1", () => {
    process.send?.(`http://127.0.0.1:${(server.address() as AddressInfo).port}/`);
  });
}

type Timing = Server & {
  readonly writer: BenchDevice;
  /** The first one is timed. */
  readonly following: readonly BenchDevice[];
  readonly bodies: readonly string[];
  readonly pulls: boolean;
};

async function timeTaps(timing: Timing): Promise<readonly number[]> {
  const { address, writer, following, bodies, pulls } = timing;
  const ask = async (path: string, token: string, body: string | null = null) =>
    fetch(new URL(`/api/runs/${writer.run}/${path}`, address), {
      method: body === null ? "GET" : "POST",
      body,
      headers: { [protocolHeader]: String(protocolVersion), authorization: `Bearer ${token}` },
    });
  const readers: ReadableStreamDefaultReader<Uint8Array>[] = [];
  const ear: { hear: () => void } = { hear: () => undefined };
  for (const [index, { token }] of following.entries()) {
    const answer = await ask("stream", token);
    const reader = (answer.body as ReadableStream<Uint8Array>).getReader();
    readers.push(reader);
    void readStream(reader, () => (index === 0 ? ear.hear() : undefined));
  }
  const token = following[0]?.token ?? "";
  let cursor = pulls ? await pullAll(ask, token) : "";
  const times: number[] = [];
  for (const [index, body] of bodies.entries()) {
    await setTimeout(pauseMs);
    const heard = new Promise<void>((resolve) => (ear.hear = resolve));
    const beganMs = performance.now();
    const pushed = ask("entries", writer.token, body).then((answer) => answer.text());
    await heard;
    if (pulls) cursor = (await pullOf(ask, token, cursor)).cursor;
    if (index >= warmingUp) times.push(performance.now() - beganMs);
    await pushed;
  }
  await Promise.all(readers.map((reader) => reader.cancel()));
  return times;
}

type AskHub = (path: string, token: string) => Promise<Response>;

type Pulled = { readonly cursor: string; readonly more: boolean };

async function pullOf(ask: AskHub, token: string, query: string): Promise<Pulled> {
  const answer = (await (await ask(`entries${query}`, token)).json()) as {
    cursor: { epoch: string; after: number };
    more: boolean;
  };
  const { epoch, after } = answer.cursor;
  return { cursor: `?epoch=${epoch}&after=${after}`, more: answer.more };
}

async function pullAll(ask: AskHub, token: string): Promise<string> {
  let pulled: Pulled = { cursor: "", more: true };
  while (pulled.more) pulled = await pullOf(ask, token, pulled.cursor);
  return pulled.cursor;
}

async function readStream(
  reader: ReadableStreamDefaultReader<Uint8Array>,
  hear: () => void,
): Promise<void> {
  const decoder = new TextDecoder();
  for (;;) {
    const { done, value } = await reader.read();
    if (done) return;
    if (decoder.decode(value).includes("event: entries")) hear();
  }
}

function print(way: string, times: readonly number[], echo: readonly number[]): void {
  const [p50, p99] = [0.5, 0.99].map((part) => quantile(times, part));
  const ratio = (p99 ?? 0) / quantile(echo, 0.99);
  console.log(
    `  ${way}: p50 ${p50?.toFixed(2)} ms, p99 ${p99?.toFixed(2)} ms, ratio ${ratio.toFixed(2)}`,
  );
}

function quantile(values: readonly number[], part: number): number {
  return [...values].sort((a, b) => a - b)[Math.floor(values.length * part)] ?? 0;
}

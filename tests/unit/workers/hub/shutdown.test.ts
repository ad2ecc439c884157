// The hub's orderly end, over real sockets.

import { once } from "node:events";
import { connect } from "node:net";
import type { Socket } from "node:net";
import { expect, onTestFinished, test } from "vitest";
import { protocolHeader, protocolVersion } from "../../../../machines/sync/protocol-version.ts";
import { DataFolderTakenError } from "../../../../workers/hub/data-folder-taken-error.ts";
import { createEventStreams } from "../../../../workers/hub/event-streams.ts";
import { createLog } from "../../../../workers/hub/log.ts";
import { storedProcedure } from "../../../../workers/hub/routes/procedures.ts";
import { startHub } from "../../../../workers/hub/start-hub.ts";
import type { DeviceId, RunId } from "../../../../machines/record/ids.ts";
import { aProcedure } from "../../../support/a-procedure.ts";
import { aConfig } from "./a-config.ts";
import { handClock } from "./hand-clock.ts";

const nothing = { procedures: [], injectScripts: [] };

async function aRunningHub(config = aConfig()) {
  const clock = handClock();
  const log = createLog("error", clock, () => undefined);
  const hub = await startHub(config, nothing, { clock, log });
  let stopping: Promise<void> | null = null;
  const stop = () => (stopping ??= hub.stop());
  onTestFinished(async () => {
    const stopped = stop();
    clock.pass(3_600_000);
    await stopped;
  });
  return { ...hub, clock, stop, config };
}

function open(address: string): Socket {
  const { hostname, port } = new URL(address);
  return connect(Number(port), hostname);
}

async function textOf(socket: Socket): Promise<string> {
  let text = "";
  socket.on("data", (chunk: Buffer) => (text += chunk.toString()));
  await once(socket, "close");
  return text;
}

test("[shutdown 1] a request whose body is half sent when the hub is stopped comes to its answer", async () => {
  const { address, stop, clock, config } = await aRunningHub();
  const { identity, text } = storedProcedure(aProcedure());
  const socket = open(address);
  const answered = textOf(socket);
  const [first, second] = [text.slice(0, 500), text.slice(500)];
  const head =
    `PUT /api/procedures/${identity} HTTP/1.1\r\nhost: hub\r\nexpect: 100-continue\r\n` +
    `${protocolHeader}: ${protocolVersion}\r\ncontent-length: ${Buffer.byteLength(text)}\r\n\r\n`;
  socket.write(head);
  await once(socket, "data");
  socket.write(first);
  const stopping = stop();
  clock.pass(2_000);
  socket.write(second);
  // The answer has come; a line that is idle then is closed by the hub.
  await once(socket, "data");
  while (!socket.closed) {
    clock.pass(250);
    await new Promise((resolve) => setImmediate(resolve));
  }
  expect(await answered).toMatch(/HTTP\/1\.1 200 /);
  await stopping;
  const again = await aRunningHub(config);
  const kept = await fetch(new URL(`/api/procedures/${identity}`, again.address), {
    headers: { [protocolHeader]: String(protocolVersion) },
  });
  expect(await kept.text()).toContain(aProcedure().title);
});

test("[shutdown 3] [health 1] during its notice the hub answers, and calls itself draining", async () => {
  const { address, stop, clock } = await aRunningHub(aConfig({ drainNoticeSeconds: 20 }));
  const ask = (path: string) => fetch(new URL(path, address));
  expect((await ask("/healthz")).status).toBe(200);
  expect(await (await ask("/metrics")).text()).toContain("\nlanehold_draining 0\n");
  const stopping = stop();
  const health = await ask("/healthz");
  expect([health.status, await health.text()]).toEqual([503, "draining\n"]);
  expect(await (await ask("/metrics")).text()).toContain("\nlanehold_draining 1\n");
  expect((await ask("/trust")).status).toBe(200);
  clock.pass(19_999);
  expect((await ask("/trust")).status).toBe(200);
  clock.pass(1);
  await stopping;
  await expect(ask("/trust")).rejects.toThrow();
});

test("[shutdown 1] who follows is told to come back", async () => {
  const clock = handClock();
  const streams = createEventStreams(clock);
  const ends: string[] = [];
  const follower = { run: "run" as RunId, device: "device" as DeviceId, cut: () => undefined };
  const { body } = streams.open({ ...follower, onEnd: () => ends.push("ended") });
  streams.endAll();
  // Source: HTML Living Standard, section 9.2.6: "retry" sets the time after which to connect again.
  expect(await new Response(body).text()).toMatch(/^retry: \d+$/m);
  expect(ends).toEqual(["ended"]);
});

test("[data-folder 1] [data-folder 2] one hub at a time runs on a folder, and lets it go at its end", async () => {
  const { config, stop } = await aRunningHub();
  await expect(aRunningHub(config)).rejects.toThrow(DataFolderTakenError);
  await stop();
  await (await aRunningHub(config)).stop();
});

// A whole hub with real sockets on the loopback interface.

import { writeFileSync } from "node:fs";
import { once } from "node:events";
import { connect } from "node:net";
import { join } from "node:path";
import { expect, onTestFinished, test } from "vitest";
import { protocolHeader, protocolVersion } from "../../../../machines/sync/protocol-version.ts";
import { requestBytesMax } from "../../../../machines/sync/push.ts";
import { readEntriesHint, readHeardHint } from "../../../../machines/sync/stream.ts";
import { AddressTakenError } from "../../../../workers/hub/address-taken-error.ts";
import { systemClock } from "../../../../workers/hub/clock.ts";
import { createLog } from "../../../../workers/hub/log.ts";
import { storedProcedure } from "../../../../workers/hub/routes/procedures.ts";
import { drainMs } from "../../../../workers/hub/shutdown.ts";
import { startHub } from "../../../../workers/hub/start-hub.ts";
import { HubFileUnreadableError } from "../../../../workers/hub/storage/hub-file-unreadable-error.ts";
import { openSqliteStorage } from "../../../../workers/hub/storage/sqlite-storage.ts";
import { aProcedure } from "../../../support/a-procedure.ts";
import { aConfig } from "./a-config.ts";
import { openJson, refusalOf, run, signed, theOpener } from "./a-hub.ts";
import { handClock } from "./hand-clock.ts";
import { notes } from "./incoming-entries.ts";
import { readUntil } from "./read-events.ts";

const { identity: procedure } = storedProcedure(aProcedure());
const documents = { procedures: [aProcedure()], injectScripts: [] };

async function runningHub(config = aConfig()) {
  const logLines: string[] = [];
  const log = createLog("info", systemClock, (line) => logLines.push(line));
  const { address, stop } = await startHub(config, documents, { clock: systemClock, log });
  let stopping: Promise<void> | null = null;
  const stopOnce = () => (stopping ??= stop());
  onTestFinished(stopOnce);
  const director = theOpener();
  const ask = (method: string, path: string, body: string | null = null) =>
    fetch(new URL(path, address), {
      method,
      body,
      headers: {
        [protocolHeader]: String(protocolVersion),
        authorization: `Bearer ${director.token}`,
      },
    });
  const opening = await openJson(director, procedure);
  const opened = await ask("POST", "/api/runs", JSON.stringify(opening));
  expect(await opened.json()).toEqual({ run });
  return { address, director, ask, stop: stopOnce, logLines, config };
}

test("[stream-route 1] a follower is told where the run stands, and of each commit", async () => {
  const { ask, director } = await runningHub();
  const answer = await ask("GET", `/api/runs/${run}/stream`);
  expect(answer.headers.get("content-type")).toMatch(/^text\/event-stream/);
  expect(answer.headers.get("x-accel-buffering")).toBe("no");
  expect(answer.headers.get("cache-control")).toContain("no-cache");
  const reader = answer.body!.getReader();
  const first = await readUntil(reader, ({ event }) => event === "heard");
  const [hint, heard] = ["entries", "heard"].map((name) =>
    first.find(({ event }) => event === name),
  );
  expect(readEntriesHint(hint?.data).value).toEqual({ after: 0 });
  expect(Object.keys(readHeardHint(heard?.data).value?.lastHeardMs ?? {})).toEqual([
    director.device,
  ]);
  const segments = [await signed(director, director.write(...notes(3)))];
  await ask("POST", `/api/runs/${run}/entries`, JSON.stringify({ segments }));
  const next = await readUntil(reader, ({ event }) => event === "entries");
  expect(readEntriesHint(next.at(-1)?.data).value).toEqual({ after: 1 });
  await reader.cancel();
});

test("[streams 3] a follower that goes away is forgotten", async () => {
  const { ask } = await runningHub();
  const answer = await ask("GET", `/api/runs/${run}/stream`);
  const reader = answer.body!.getReader();
  const followers = async () =>
    /lanehold_open_streams (\d+)/.exec(await (await ask("GET", "/metrics")).text())?.[1];
  expect(await followers()).toBe("1");
  await reader.cancel();
  while ((await followers()) !== "0");
});

test("[shutdown 1] stopping ends the streams, answers what is under way and closes the file", async () => {
  const { ask, director, stop, logLines, config, address } = await runningHub();
  const answer = await ask("GET", `/api/runs/${run}/stream`);
  const reader = answer.body!.getReader();
  await readUntil(reader, ({ event }) => event === "heard");
  const segments = [await signed(director, director.write(...notes(400)))];
  const pushing = ask("POST", `/api/runs/${run}/entries`, JSON.stringify({ segments }));
  const pushed = await pushing;
  expect(await pushed.json()).toMatchObject({ have: { [director.device]: 400 } });
  const stopping = stop();
  while (!(await reader.read()).done);
  await stopping;
  await expect(fetch(address)).rejects.toThrow();
  expect(logLines.at(-1)).toContain("hub.stopped");
  const storage = openSqliteStorage(join(config.dataFolder, "hub.sqlite"));
  expect(await storage.readHave(run)).toEqual({ [director.device]: 400 });
  await storage.close();
});

test("[shutdown 2] a request that does not come to its end is cut after a while", async () => {
  const clock = handClock();
  const log = createLog("error", clock, () => undefined);
  const { address, stop } = await startHub(aConfig(), documents, { clock, log });
  const { hostname, port } = new URL(address);
  const socket = connect(Number(port), hostname);
  const closed = once(socket, "close");
  socket.write(
    `POST /api/runs HTTP/1.1\r\nhost: ${hostname}\r\n${protocolHeader}: ${protocolVersion}\r\n` +
      "expect: 100-continue\r\ncontent-length: 10\r\n\r\n",
  );
  // The hub has the head of the request, and the rest never comes.
  expect(String(await once(socket, "data"))).toContain("100 Continue");
  const stopping = stop();
  clock.pass(drainMs - 1_000);
  expect(socket.closed).toBe(false);
  clock.pass(1_000);
  await Promise.all([stopping, closed]);
});

test("[body 1] too large a body is refused over a real socket, said or unsaid", async () => {
  const { ask, address, director } = await runningHub();
  const path = `/api/runs/${run}/entries`;
  const refused = await ask("POST", path, "x".repeat(requestBytesMax + 1));
  expect(refused.status).toBe(413);
  expect(await refusalOf(refused)).toMatchObject({ code: "body-too-large" });
  const chunked = await postChunks(new URL(path, address), director.token, requestBytesMax * 2);
  expect(chunked).toMatch(/^HTTP\/1\.1 413 /);
  expect((await ask("GET", path)).status).toBe(200);
});

test("[hub-file 2] a hub that starts again on its file has everything", async () => {
  const config = aConfig();
  const first = await runningHub(config);
  const segments = [await signed(first.director, first.director.write(...notes(5)))];
  await first.ask("POST", `/api/runs/${run}/entries`, JSON.stringify({ segments }));
  await first.stop();
  const log = createLog("error", systemClock, () => undefined);
  const second = await startHub(config, documents, { clock: systemClock, log });
  const answer = await fetch(new URL(`/api/runs/${run}/entries`, second.address), {
    headers: {
      [protocolHeader]: String(protocolVersion),
      authorization: `Bearer ${first.director.token}`,
    },
  });
  expect(await answer.json()).toMatchObject({ segments });
  await second.stop();
});

test("[config 1] an address that is taken and a folder that is none are told plainly", async () => {
  const { address } = await runningHub();
  const log = createLog("error", systemClock, () => undefined);
  const port = Number(new URL(address).port);
  const taken = startHub(aConfig({ port }), documents, { clock: systemClock, log });
  await expect(taken).rejects.toThrow(AddressTakenError);
  const config = aConfig();
  const file = `${config.dataFolder}-file`;
  writeFileSync(file, "");
  const none = startHub({ ...config, dataFolder: file }, documents, { clock: systemClock, log });
  await expect(none).rejects.toThrow(HubFileUnreadableError);
});

/** Posts in chunks without telling the length before; the first line and headers of the answer. */
function postChunks({ hostname, port, pathname }: URL, token: string, bytes: number) {
  return new Promise<string>((resolve, reject) => {
    const socket = connect(Number(port), hostname);
    let text = "";
    socket.on("data", (chunk) => (text += chunk.toString()));
    socket.on("close", () => resolve(text));
    // A hub that has refused may close while there is more to send.
    socket.on("error", (cause) => (text === "" ? reject(cause) : resolve(text)));
    socket.write(
      `POST ${pathname} HTTP/1.1\r\nhost: ${hostname}\r\n${protocolHeader}: ${protocolVersion}\r\n` +
        `authorization: Bearer ${token}\r\ntransfer-encoding: chunked\r\n\r\n`,
    );
    const chunk = "x".repeat(65_536);
    for (let sent = 0; sent < bytes; sent += chunk.length) {
      socket.write(`10000\r\n${chunk}\r\n`);
    }
    socket.write("0\r\n\r\n");
  });
}

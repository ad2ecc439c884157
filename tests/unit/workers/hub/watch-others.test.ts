// What another hub takes reaches those who follow at this one.

import { afterAll, beforeAll, expect, onTestFinished, test } from "vitest";
import type { DeviceId } from "../../../../machines/record/ids.ts";
import { protocolHeader, protocolVersion } from "../../../../machines/sync/protocol-version.ts";
import { systemClock } from "../../../../workers/hub/clock.ts";
import { createEventStreams } from "../../../../workers/hub/event-streams.ts";
import { createLog } from "../../../../workers/hub/log.ts";
import { storedProcedure } from "../../../../workers/hub/routes/procedures.ts";
import { startHub } from "../../../../workers/hub/start-hub.ts";
import { createMemoryStorage } from "../../../../workers/hub/storage/memory-storage.ts";
import { lookPeriodMs, watchOthers } from "../../../../workers/hub/watch-others.ts";
import { aProcedure } from "../../../support/a-procedure.ts";
import { startPostgresCluster } from "../../../support/postgres-cluster.ts";
import type { PostgresCluster } from "../../../support/postgres-cluster.ts";
import { aConfig } from "./a-config.ts";
import { openJson, run, signed, theOpener } from "./a-hub.ts";
import { handClock } from "./hand-clock.ts";
import { chain, incoming, notes } from "./incoming-entries.ts";
import { readUntil } from "./read-events.ts";
import { putRun, run as storedRun, tablet } from "./storage/a-stored-run.ts";

let cluster: PostgresCluster;

beforeAll(async () => {
  cluster = await startPostgresCluster();
});

afterAll(() => cluster.end());

async function runningHub(database: string) {
  const log = createLog("error", systemClock, () => undefined);
  const documents = { procedures: [aProcedure()], injectScripts: [] };
  const hub = await startHub(aConfig({ database }), documents, { clock: systemClock, log });
  onTestFinished(hub.stop);
  return (method: string, path: string, token: string, json?: unknown) =>
    fetch(new URL(path, hub.address), {
      method,
      ...(json === undefined ? {} : { body: JSON.stringify(json) }),
      headers: {
        [protocolHeader]: String(protocolVersion),
        authorization: `Bearer ${token}`,
      },
    });
}

test("[watch-others 1] two hubs on one database serve one run, and followers of one hear the other's", async () => {
  const database = await cluster.createDatabase();
  const [askFirst, askSecond] = [await runningHub(database), await runningHub(database)];
  const director = theOpener();
  const { token } = director;
  const { identity } = storedProcedure(aProcedure());
  const entriesPath = `/api/runs/${run}/entries`;
  const opened = await askFirst("POST", "/api/runs", token, await openJson(director, identity));
  expect(opened.status).toBe(200);
  const stream = await askSecond("GET", `/api/runs/${run}/stream`, token);
  const reader = stream.body!.getReader();
  await readUntil(reader, ({ event }) => event === "heard");
  for (const [place, ask] of [askFirst, askSecond, askFirst].entries()) {
    const segments = [await signed(director, director.write(...notes(2)))];
    const pushed = await ask("POST", entriesPath, token, { segments });
    expect(await pushed.json()).toMatchObject({ have: { [director.device]: 2 * place + 2 } });
    const told = await readUntil(reader, ({ event, data }) => {
      return event === "entries" && (data as { after: number }).after === place + 1;
    });
    expect(told.at(-1)?.data).toEqual({ after: place + 1 });
    const pulls = await Promise.all(
      [askFirst, askSecond].map(async (one) => {
        const answer = (await (await one("GET", entriesPath, token)).json()) as {
          cursor: unknown;
          segments: unknown[];
        };
        return { cursor: answer.cursor, segments: answer.segments };
      }),
    );
    expect(pulls[0]).toEqual(pulls[1]);
    expect(pulls[0]?.segments.at(-1)).toEqual(segments[0]);
  }
  await reader.cancel();
});

test("[watch-others 1] where no hint comes, a hub looks by itself, and tells only what is new", async () => {
  const clock = handClock();
  const storage = createMemoryStorage("epoch");
  const streams = createEventStreams(clock);
  await putRun(storage);
  const log = createLog("error", clock, () => undefined);
  const stop = watchOthers({ storage, streams, clock, log });
  const follower = { run: storedRun, device: "desk" as DeviceId };
  const stream = streams.open({ ...follower, onEnd: () => undefined, cut: () => undefined });
  await storage.takeSegment(incoming(chain({ run: storedRun, device: tablet }, notes(1))), 1);
  for (let look = 0; look < 3; look += 1) {
    clock.pass(lookPeriodMs);
    for (let turn = 0; turn < 10; turn += 1) await Promise.resolve();
  }
  stop();
  streams.endAll();
  const text = await new Response(stream.body).text();
  expect(text.match(/event: entries\ndata: .*/g)).toEqual(['event: entries\ndata: {"after":1}']);
});

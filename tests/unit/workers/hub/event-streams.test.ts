// Server-sent events without a socket.

import { expect, test } from "vitest";
import type { DeviceId, RunId } from "../../../../machines/record/ids.ts";
import {
  createEventStreams,
  heartbeatMs,
  slowMs,
  streamsPerDeviceMax,
} from "../../../../workers/hub/event-streams.ts";
import type { Follower } from "../../../../workers/hub/event-streams.ts";
import { handClock } from "./hand-clock.ts";

const run = "run-1" as RunId;

function aFollower(device = "tablet"): { follower: Follower; said: string[] } {
  const said: string[] = [];
  const follower = {
    run,
    device: device as DeviceId,
    onEnd: () => said.push("ended"),
    cut: () => said.push("cut"),
  };
  return { follower, said };
}

async function readAll(body: ReadableStream<Uint8Array>): Promise<string> {
  return await new Response(body).text();
}

test("[streams 1] a slow follower gets the newest of each sort, not all", async () => {
  const streams = createEventStreams(handClock());
  const stream = streams.open(aFollower().follower);
  for (let after = 1; after <= 1000; after += 1) streams.tell(run, "entries", { after });
  streams.tell(run, "heard", { hubMs: 7 });
  const reader = stream.body.getReader();
  let text = "";
  const decoder = new TextDecoder();
  while (!text.includes("event: heard")) {
    text += decoder.decode((await reader.read()).value);
  }
  const places = [...text.matchAll(/"after":(\d+)/g)].map((match) => Number(match[1]));
  expect(places.length).toBeLessThan(20);
  expect(places.at(-1)).toBe(1000);
  expect(places).toEqual(places.toSorted((a, b) => a - b));
  stream.end();
});

test("[streams 2] a follower that reads nothing is dropped, one that reads is not", async () => {
  const clock = handClock();
  const streams = createEventStreams(clock);
  const dead = aFollower("dead");
  const alive = aFollower("alive");
  const deadStream = streams.open(dead.follower);
  const aliveStream = streams.open(alive.follower);
  const reading = readAll(aliveStream.body);
  for (let after = 1; after <= 20; after += 1) streams.tell(run, "entries", { after });
  for (let passed = 0; passed <= slowMs + heartbeatMs; passed += heartbeatMs) {
    clock.pass(heartbeatMs);
    await Promise.resolve();
  }
  expect(dead.said).toEqual(["ended", "cut"]);
  expect(alive.said).toEqual([]);
  expect(streams.count()).toBe(1);
  await expect(readAll(deadStream.body)).rejects.toThrow("too long");
  streams.endAll();
  expect(await reading).toContain('"after":20');
});

test("[streams 3] a device's further stream ends its oldest, and no other device's", () => {
  const streams = createEventStreams(handClock());
  const other = aFollower("other");
  streams.open(other.follower);
  const own = Array.from({ length: streamsPerDeviceMax + 2 }, () => {
    const one = aFollower();
    streams.open(one.follower);
    return one.said.length === 0 ? one.said : ["ended too early"];
  });
  expect(own.map((said) => said.length)).toEqual([1, 1, 0, 0, 0]);
  expect(other.said).toEqual([]);
  streams.endAll();
});

test("[streams 4] a quiet stream gets a comment at each heartbeat", async () => {
  const clock = handClock();
  const streams = createEventStreams(clock);
  const stream = streams.open(aFollower().follower);
  const reading = readAll(stream.body);
  for (let beat = 0; beat < 3; beat += 1) {
    clock.pass(heartbeatMs);
    await Promise.resolve();
  }
  stream.end();
  const comments = (await reading).split("\n").filter((line) => line.startsWith(":"));
  expect(comments).toHaveLength(3);
});

test("[streams 1] what is told of one run reaches nobody in another", async () => {
  const streams = createEventStreams(handClock());
  const stream = streams.open(aFollower().follower);
  streams.tell("run-2" as RunId, "entries", { after: 1 });
  const reading = readAll(stream.body);
  stream.end();
  expect(await reading).toBe("");
});

// What a follower is told.

import { expect, test } from "vitest";
import { readHeardHint } from "../../../../../machines/sync/stream.ts";
import { heardPeriodMs } from "../../../../../workers/hub/routes/stream.ts";
import { aHub, letIn, openRun, push, run } from "../a-hub.ts";
import { note } from "../incoming-entries.ts";
import { readUntil } from "../read-events.ts";

const isHeard = ({ event }: { readonly event: string }) => event === "heard";

test("[stream-route 2] when devices were heard of is told when it changed, and only then", async () => {
  const testHub = await aHub();
  const director = await openRun(testHub);
  const answer = await testHub.ask("GET", `/api/runs/${run}/stream`, { token: director.token });
  const reader = answer.body!.getReader();
  await readUntil(reader, isHeard);
  const startMs = testHub.clock.nowMs();
  // Nobody speaks: three periods pass in silence.
  for (let period = 0; period < 3; period += 1) testHub.clock.pass(heardPeriodMs);
  const crew = await letIn(testHub, director, { role: "crew", lane: "ev1" });
  const spokeMs = testHub.clock.nowMs();
  testHub.clock.pass(heardPeriodMs);
  const told = (await readUntil(reader, isHeard)).filter(isHeard);
  expect(told).toHaveLength(1);
  const { value } = readHeardHint(told[0]?.data);
  expect(value?.lastHeardMs).toEqual({ [director.device]: spokeMs, [crew.device]: spokeMs });
  expect(value?.hubMs).toBe(startMs + 4 * heardPeriodMs);
  await reader.cancel();
});

test("[stream-route 1] a device that was let in is told of too, so that a director can name it", async () => {
  const testHub = await aHub();
  const director = await openRun(testHub);
  await push(testHub, director, director.write(note("one")));
  const answer = await testHub.ask("GET", `/api/runs/${run}/stream`, { token: director.token });
  const reader = answer.body!.getReader();
  await readUntil(reader, isHeard);
  await letIn(testHub, director, { role: "crew", lane: "ev1" });
  const told = await readUntil(reader, ({ event }) => event === "entries");
  expect(told.at(-1)).toEqual({ event: "entries", data: { after: 1 } });
  await reader.cancel();
});

import { expect, test } from "vitest";
import type { DeviceId } from "../../../../machines/record/ids.ts";
import { rootOfRun } from "../../../../machines/record/ids.ts";
import { createRunId } from "../../../../workers/keys/random-id.ts";

test("[random-id 1] ten thousand runs of one root name it, and differ", () => {
  const root = "abcdefghijklmnopqrstuvwxyz" as DeviceId;
  const runs = Array.from({ length: 10_000 }, () => createRunId(root));
  expect(new Set(runs).size).toBe(runs.length);
  expect(runs.filter((run) => !/^[a-z2-7]{26}\.[a-z2-7]{13}$/.test(run))).toEqual([]);
  expect(runs.filter((run) => rootOfRun(run) !== root)).toEqual([]);
});

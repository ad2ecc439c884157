import { expect, test } from "vitest";
import { asLeader, inTurn } from "../../../../workers/link/writer-lock.ts";

// Node 20 has no Web Locks, so these run the turns within one window; browsers' own are tested there.

async function aMoment(): Promise<void> {
  for (let tick = 0; tick < 5; tick += 1) await Promise.resolve();
}

test("[sync-loop 1] work of one name is done in turn, in the order of the wishes", async () => {
  const log: string[] = [];
  const work = (name: string) => async () => {
    log.push(`${name} begins`);
    await aMoment();
    log.push(`${name} ends`);
  };
  await Promise.all([inTurn("x", work("a")), inTurn("x", work("b")), inTurn("x", work("c"))]);
  expect(log).toEqual(["a begins", "a ends", "b begins", "b ends", "c begins", "c ends"]);
});

test("[sync-loop 1] work that fails does not stop the next", async () => {
  const failing = inTurn("x", async () => {
    throw new Error("no");
  });
  const next = inTurn("x", async () => "done");
  await expect(failing).rejects.toThrow("no");
  expect(await next).toBe("done");
});

test("[hub-stream 1] a leader's work is given the signal", async () => {
  const controller = new AbortController();
  const led = asLeader("x", controller.signal, async (signal) => {
    await new Promise<void>((resolve) => {
      signal.addEventListener("abort", () => resolve());
    });
  });
  controller.abort();
  await led;
});

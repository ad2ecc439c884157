// A check as the page sees it. The worker's thread is the platform's; in its place stands one that
// carries out the planner's real job when it is told to go on, one message at a time.

import { expect, test } from "vitest";
import { createPlanCheck } from "../../../../app/live/plan-check.ts";
import type { OpenPlanner } from "../../../../app/live/plan-check.ts";
import type { PlannerMessage } from "../../../../workers/link/plan-messages.ts";
import { carryOutPlannerOrder } from "../../../../workers/planner/check-plan-job.ts";
import { demoProcedure } from "../../workers/hub/demo/demo-documents.ts";

type Thread = {
  readonly say: (value: unknown) => void;
  readonly breakDown: (says: string) => void;
  readonly messages: PlannerMessage[];
  hasEnded: boolean;
};

function threads() {
  const opened: Thread[] = [];
  const open: OpenPlanner = (onMessage, onBroken) => {
    const thread: Thread = { say: onMessage, breakDown: onBroken, messages: [], hasEnded: false };
    opened.push(thread);
    return {
      send: (order) => carryOutPlannerOrder(order, (message) => thread.messages.push(message)),
      end: () => {
        thread.hasEnded = true;
      },
    };
  };
  return { opened, open };
}

const turn = () =>
  new Promise<void>((resolve) => {
    setImmediate(resolve);
  });

const firstSteps = () => Promise.resolve(demoProcedure("first-steps"));

test("[plan-check 2] a check tells its parts, ends with the report, and ends its worker", async () => {
  const { opened, open } = threads();
  const check = createPlanCheck(firstSteps, open);
  check.start();
  await turn();
  const [thread] = opened;
  if (thread === undefined) throw new Error("no thread");
  for (const message of thread.messages.slice(0, -1)) {
    thread.say(message);
    expect(check.state.value.state).toBe("checking");
    expect(thread.hasEnded).toBe(false);
  }
  thread.say(thread.messages.at(-1));
  expect(check.state.value.state).toBe("checked");
  expect(thread.hasEnded).toBe(true);
});

test("[plan-check 1] after cancelling, the worker has ended and nothing it still says is shown", async () => {
  const { opened, open } = threads();
  const check = createPlanCheck(firstSteps, open);
  check.start();
  await turn();
  const [thread] = opened;
  check.cancel();
  expect([check.state.value.state, thread?.hasEnded]).toEqual(["cancelled", true]);
  for (const message of thread?.messages ?? []) thread?.say(message);
  thread?.breakDown("late");
  expect(check.state.value.state).toBe("cancelled");
});

test("[plan-check 1] cancelled while the store is read, no worker is opened", async () => {
  const { opened, open } = threads();
  const check = createPlanCheck(firstSteps, open);
  check.start();
  check.cancel();
  await turn();
  expect([check.state.value.state, opened.length]).toEqual(["cancelled", 0]);
});

test("[plan-check 2] started again, the worker before is ended and only the new one counts", async () => {
  const { opened, open } = threads();
  const check = createPlanCheck(firstSteps, open);
  check.start();
  await turn();
  check.start();
  await turn();
  const [old, now] = opened;
  expect([old?.hasEnded, now?.hasEnded]).toEqual([true, false]);
  old?.say({ type: "plan.failed", says: "old" });
  expect(check.state.value.state).toBe("checking");
  now?.say(now.messages.at(-1));
  expect(check.state.value.state).toBe("checked");
});

test("[plan-check 3] a damaged procedure in the store is refused with its faults", async () => {
  const { opened, open } = threads();
  const damaged = { ...demoProcedure("first-steps"), steps: "none" };
  const check = createPlanCheck(() => Promise.resolve(damaged), open);
  check.start();
  await turn();
  opened[0]?.say(opened[0].messages.at(-1));
  const state = check.state.value;
  expect(state.state).toBe("refused");
  expect(state.state === "refused" && state.count).toBeGreaterThan(0);
});

test.each([
  ["is not here", () => Promise.resolve(null), /not on this device/],
  ["can't be read", () => Promise.reject(new Error("disk")), /disk/],
] as const)("[plan-check 3] a procedure that %s ends in words", async (_, read, words) => {
  const { opened, open } = threads();
  const check = createPlanCheck(read, open);
  check.start();
  await turn();
  const state = check.state.value;
  expect(state.state === "failed" ? state.refusal.says : state.state).toMatch(words);
  expect(opened).toEqual([]);
});

test("[plan-check 3] a worker that breaks, or says what nobody can read, ends in words", async () => {
  for (const harm of ["break", "garble"] as const) {
    const { opened, open } = threads();
    const check = createPlanCheck(firstSteps, open);
    check.start();
    await turn();
    if (harm === "break") opened[0]?.breakDown("out of memory");
    else opened[0]?.say({ type: "?" });
    const state = check.state.value;
    expect(state.state === "failed" ? state.refusal.says : "").toMatch(/nothing can be said/);
    expect(opened[0]?.hasEnded).toBe(true);
  }
});

test("[plan-check 3] where no worker can be opened, it ends in words", async () => {
  const check = createPlanCheck(firstSteps, () => {
    throw new Error("no workers here");
  });
  check.start();
  await turn();
  const state = check.state.value;
  expect(state.state === "failed" ? state.refusal.says : "").toMatch(/no workers here/);
});

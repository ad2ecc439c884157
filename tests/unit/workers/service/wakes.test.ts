import { expect, test } from "vitest";
import type { RunId } from "../../../../machines/record/ids.ts";
import { backgroundSyncTag } from "../../../../workers/link/messages.ts";
import { HubUnreachableError } from "../../../../workers/link/hub-unreachable-error.ts";
import { readLink } from "../../../../workers/store/read-run.ts";
import { answerPageMessage, answerSyncEvent } from "../../../../workers/service/wakes.ts";
import { note } from "../../../support/a-database.ts";
import { aHub } from "../hub/a-hub.ts";
import { aTablet, openOn } from "../link/a-tablet.ts";

// An event of the browser's, as far as it is used.
function anEvent(data: unknown, tag = "") {
  const waited: Promise<unknown>[] = [];
  const waitUntil = (promise: Promise<unknown>): void => {
    waited.push(promise);
  };
  return { event: { data, tag, waitUntil }, waited };
}

async function noTakeOver(): Promise<void> {
  throw new Error("nobody asked for a new version");
}

test("[service 3] a page's wish syncs one run, or all", async () => {
  const testHub = await aHub();
  const tablet = await aTablet(testHub, "Desk");
  const { run } = await openOn(tablet, testHub);
  const one = anEvent({ type: "sync.wanted", run });
  answerPageMessage(one.event, tablet.loop, noTakeOver);
  await Promise.all(one.waited);
  expect((await readLink(tablet.database, run)).confirmedSeq).toBe(2);
  await tablet.tap(run, note("more"));
  const all = anEvent({ type: "sync.wanted", run: null });
  answerPageMessage(all.event, tablet.loop, noTakeOver);
  await Promise.all(all.waited);
  expect((await readLink(tablet.database, run)).confirmedSeq).toBe(3);
});

test("[service 2] a new version takes over when a page says so, and at no other message", async () => {
  const testHub = await aHub();
  const { loop } = await aTablet(testHub, "Desk");
  let takeOvers = 0;
  const takeOver = async (): Promise<void> => {
    takeOvers += 1;
  };
  for (const data of [{ type: "sync.wanted", run: "unknown" as RunId }, { type: "other" }, null]) {
    answerPageMessage(anEvent(data).event, loop, takeOver);
  }
  expect(takeOvers).toBe(0);
  answerPageMessage(anEvent({ type: "update.take" }).event, loop, takeOver);
  expect(takeOvers).toBe(1);
});

test("[service 3] the browser's wake syncs what is unsent, and others' tags do nothing", async () => {
  const testHub = await aHub();
  const tablet = await aTablet(testHub, "Desk");
  const { run } = await openOn(tablet, testHub);
  const others = anEvent(null, "something else");
  answerSyncEvent(others.event, tablet.loop);
  expect(others.waited).toEqual([]);
  const ours = anEvent(null, backgroundSyncTag);
  answerSyncEvent(ours.event, tablet.loop);
  await Promise.all(ours.waited);
  expect((await readLink(tablet.database, run)).confirmedSeq).toBe(2);
});

test("[service 3] a wake that comes to nothing is told to the browser, which tries again", async () => {
  const testHub = await aHub();
  const tablet = await aTablet(testHub, "Desk");
  await openOn(tablet, testHub);
  tablet.line.isCut = true;
  const { event, waited } = anEvent(null, backgroundSyncTag);
  answerSyncEvent(event, tablet.loop);
  await expect(Promise.all(waited)).rejects.toThrow(HubUnreachableError);
});

import { expect, test } from "vitest";
import { readPageMessage, readSyncMessage } from "../../../../workers/link/messages.ts";

test.each([
  { value: { type: "sync.wanted", run: "r" }, read: { type: "sync.wanted", run: "r" } },
  { value: { type: "sync.wanted", run: null }, read: { type: "sync.wanted", run: null } },
  { value: { type: "update.take", more: 1 }, read: { type: "update.take" } },
  { value: { type: "SKIP_WAITING" }, read: null },
  { value: null, read: null },
  { value: "update.take", read: null },
])("[service 2] of a page's message $value, $read is read", ({ value, read }) => {
  expect(readPageMessage(value)).toEqual(read);
});

test.each([
  { value: { type: "run.synced", run: "r" }, read: { type: "run.synced", run: "r" } },
  {
    value: { type: "run.sync-put-off", run: "r", delayMs: 5 },
    read: { type: "run.sync-put-off", run: "r", delayMs: 5 },
  },
  { value: { type: "run.sync-put-off", run: "r" }, read: null },
  { value: { type: "run.synced" }, read: null },
  { value: 3, read: null },
])("[wake-sync 1] of a message on the channel $value, $read is read", ({ value, read }) => {
  expect(readSyncMessage(value)).toEqual(read);
});

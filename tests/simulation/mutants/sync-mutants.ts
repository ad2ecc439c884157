// Planted bugs in the exchange of a device with the hub.

import type { Mutant } from "./mutant.ts";

/** Bugs in the sync session and in what it carries. */
export const syncMutants: readonly Mutant[] = [
  {
    name: "have-not-believed-after-push",
    file: "machines/sync/sync-session.ts",
    find: "function afterPush(session: SyncSession, afterSeq: number, answer: PushAnswer): SyncStep {\n  const confirmedSeq = answer.have[session.device] ?? 0;",
    replace:
      "function afterPush(session: SyncSession, afterSeq: number, answer: PushAnswer): SyncStep {\n  const confirmedSeq = Math.max(session.confirmedSeq, answer.have[session.device] ?? 0);",
    breaks: "after a push the hub's `have` is believed only if it is higher",
  },
  {
    name: "have-not-believed-after-pull",
    file: "machines/sync/sync-session.ts",
    find: `    confirmedSeq: answer.have[session.device] ?? 0,
    have: answer.have,`,
    replace: `    confirmedSeq: Math.max(session.confirmedSeq, answer.have[session.device] ?? 0),
    have: answer.have,`,
    breaks: "after a pull the hub's `have` is believed only if it is higher",
  },
  {
    name: "have-not-believed-in-store",
    file: "workers/link/carry-out-order.ts",
    find: "      confirmedSeq: answer.have[device] ?? 0,\n      lastHeardMs",
    replace:
      "      confirmedSeq: Math.max(link.confirmedSeq, answer.have[device] ?? 0),\n      lastHeardMs",
    breaks: "what the hub has is remembered only if it is higher",
  },
  {
    name: "pages-forgotten",
    file: "machines/sync/sync-session.ts",
    find: "if (answer.more) return pull(next);",
    replace: "if (answer.more && next.failures > 100) return pull(next);",
    breaks: "only the first page is pulled in a round",
  },
  {
    name: "never-pulls-anew",
    file: "machines/sync/sync-session.ts",
    find: "  return isBroken || isForked || confirmedSeq > ownSeq;",
    replace: "  return isBroken || isForked || confirmedSeq > ownSeq + 1_000_000;",
    breaks: "own entries that were lost here are not fetched from the hub",
  },
  {
    name: "run-not-brought-again",
    file: "machines/sync/sync-session.ts",
    find: 'if (refusal.code === "run-unknown" && session.registered && session.opener) {',
    replace: 'if (refusal.code === "run-gone" && session.registered && session.opener) {',
    breaks: "a hub that lost everything does not get the run again",
  },
  {
    name: "push-skips-one",
    file: "workers/link/carry-out-order.ts",
    find: "const unsent = await entriesAfter(world.database, { run, device }, afterSeq, pushEntriesMax);",
    replace:
      "const unsent = await entriesAfter(world.database, { run, device }, afterSeq + (afterSeq > 5 ? 1 : 0), pushEntriesMax);",
    breaks: "a push leaves one entry out",
  },
  {
    name: "script-breaks-round",
    file: "workers/link/fetch-inject-script.ts",
    find: "if (cause instanceof HubGarbledError) return;",
    replace: "",
    breaks: "an unreadable answer to the request for the inject script breaks a round that is done",
  },
  {
    name: "push-confirmed-when-sent",
    file: "workers/link/carry-out-order.ts",
    find: "  const answer = await askPush(",
    replace:
      "  await changeLink(world, run, (link) => ({ ...link, confirmedSeq: unsent.at(-1)?.seq ?? 0 }));\n  const answer = await askPush(",
    breaks: "what is sent counts as taken before the hub has answered",
  },
  {
    name: "fork-not-pulled",
    file: "machines/sync/sync-session.ts",
    find: "  return isBroken || isForked || confirmedSeq > ownSeq;",
    replace: "  return isBroken || confirmedSeq > ownSeq || (isForked && repeatsMax < 0);",
    breaks: "the branch that the hub lists is not fetched",
  },
  {
    name: "nothing-relayed",
    file: "machines/sync/sync-session.ts",
    find: "  if (session.canRelay) {",
    replace: "  if (session.canRelay && session.repeats < 0) {",
    breaks: "what others signed is not brought to a hub that lacks it",
  },
  {
    name: "epoch-not-looked-at",
    file: "workers/hub/routes/pull.ts",
    find: 'const isKnown = c.req.query("epoch") === storage.epoch;',
    replace: 'const isKnown = c.req.query("epoch") !== undefined;',
    breaks: "the cursor of another storage is believed",
  },
];

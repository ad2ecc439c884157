// One order of a sync session, carried out against hub and store.

import { assert } from "../../machines/base/assert.ts";
import { entryDigest } from "../../machines/record/digest-entry.ts";
import type { Entry } from "../../machines/record/entry.ts";
import type { PullAnswer } from "../../machines/sync/pull.ts";
import { pushEntriesMax, pushSegmentsMax } from "../../machines/sync/push.ts";
import type { PushAnswer } from "../../machines/sync/push.ts";
import { createSegment } from "../../machines/sync/segment.ts";
import type { Segment } from "../../machines/sync/segment.ts";
import type { SyncInput, SyncOrder } from "../../machines/sync/sync-session.ts";
import { sha256Hex } from "../keys/sha-256.ts";
import { signHead } from "../keys/sign-head.ts";
import { admitDevices } from "../store/admit-devices.ts";
import { isClosed } from "../store/read-rights.ts";
import { entriesAfter, headsOfRun, readStoredProcedure } from "../store/read-run.ts";
import { recordClockNews } from "../store/record-clock.ts";
import { segmentAfter } from "../store/signed-heads.ts";
import { storePulled } from "../store/store-pulled.ts";
import { writeProcedure } from "../store/write-procedure.ts";
import { checkSegments } from "./check-segments.ts";
import { HubGarbledError } from "./hub-garbled-error.ts";
import { askOpen, askProcedure, askPull, askPush, putProcedure } from "./hub-requests.ts";
import { openingOf } from "./introduce-device.ts";
import { afterContact, changeLink } from "./note-contact.ts";
import type { Exchange } from "./note-contact.ts";
import type { RunAtWork, SyncWorld } from "./sync-world.ts";

/** Entries of one push have at most so many characters as JSON; in UTF-8 that is below the hub's limit. */
const pushCharactersMax = 300_000;

/**
 * Carries out one order.
 *
 * Errors: `HubUnreachableError`, `HubRefusedError`, `HubGarbledError`, and the store's.
 */
export async function carryOut(
  world: SyncWorld,
  at: RunAtWork,
  order: SyncOrder,
): Promise<SyncInput> {
  switch (order.type) {
    case "procedure.fetch":
      return fetchProcedure(world, at);
    case "procedure.put":
      return bringProcedure(world, at);
    case "run.open":
      return openAtHub(world, at);
    case "entries.push":
      return pushEntries(world, at, order.afterSeq);
    case "entries.pull":
      return pullEntries(world, at, order);
    case "entries.store":
      return storeAnswer(world, at, order.answer);
    case "devices.admit": {
      const by = { run: at.stored.run, device: at.device.device, wallMs: world.readWallMs() };
      await admitDevices(world.database, by, order.admissions);
      return { type: "devices.admitted", ownSeq: await readOwnSeq(world, at) };
    }
    case "entries.relay":
      return relayEntries(world, at, order.have);
  }
}

async function fetchProcedure(world: SyncWorld, at: RunAtWork): Promise<SyncInput> {
  const procedure = await askProcedure(world.door, at.stored.procedure, at.stored.token);
  await writeProcedure(world.database, procedure, world.readWallMs());
  return { type: "procedure.fetched" };
}

async function bringProcedure(world: SyncWorld, at: RunAtWork): Promise<SyncInput> {
  const procedure = await readStoredProcedure(world.database, at.stored.procedure);
  assert(procedure !== undefined, "a run that was opened here has its procedure here");
  await putProcedure(world.door, procedure, at.stored.token);
  return { type: "procedure.put" };
}

async function openAtHub(world: SyncWorld, at: RunAtWork): Promise<SyncInput> {
  await askOpen(world.door, await openingOf(at));
  await changeLink(world, at.stored.run, (link) => ({ ...link, registered: true }));
  return { type: "run.opened" };
}

async function pushEntries(world: SyncWorld, at: RunAtWork, afterSeq: number): Promise<SyncInput> {
  const { run } = at.stored;
  const { device } = at.device;
  const unsent = await entriesAfter(world.database, { run, device }, afterSeq, pushEntriesMax);
  assert(unsent.length > 0, "what is pushed is held");
  const entries = prefixThatFits(unsent);
  const { seq, ...last } = entries.at(-1) as Entry;
  const digest = entryDigest({ seq, ...last }, sha256Hex);
  const head = await signHead(at.device, { run, seq, digest });
  const answer = await pushSegments(world, at, [createSegment(entries, head)]);
  return { type: "entries.pushed", afterSeq, answer };
}

async function pushSegments(
  world: SyncWorld,
  at: RunAtWork,
  segments: readonly Segment[],
): Promise<PushAnswer> {
  const { run, token } = at.stored;
  const sentMs = world.readWallMs();
  const answer = await askPush(world.door, { run, token }, segments);
  const exchange: Exchange = { sentMs, returnedMs: world.readWallMs(), stamps: answer.stamps };
  await changeLink(world, run, (link) => ({
    ...afterContact(link, exchange),
    confirmedSeq: answer.have[at.device.device] ?? 0,
  }));
  return answer;
}

async function pullEntries(
  world: SyncWorld,
  at: RunAtWork,
  order: SyncOrder & { readonly type: "entries.pull" },
): Promise<SyncInput> {
  const { run, token } = at.stored;
  const sentMs = world.readWallMs();
  const answer = await askPull(world.door, { run, token }, order.cursor);
  const exchange: Exchange = { sentMs, returnedMs: world.readWallMs(), stamps: answer.stamps };
  await changeLink(world, run, (link) => afterContact(link, exchange));
  return { type: "entries.pulled", answer };
}

async function storeAnswer(
  world: SyncWorld,
  at: RunAtWork,
  answer: PullAnswer,
): Promise<SyncInput> {
  const { database } = world;
  const { run } = at.stored;
  const { device } = at.device;
  const { segments, forged, faults } = await checkSegments(answer.segments, run);
  if (faults.length > 0 || answer.unveiled.some((entry) => entry.run !== run)) {
    throw new HubGarbledError(faults);
  }
  const stored = await storePulled(database, {
    run,
    from: "hub",
    segments,
    forged,
    unveiled: answer.unveiled,
    own: device,
    link: (link) => ({
      ...link,
      cursor: answer.cursor,
      confirmedSeq: answer.have[device] ?? 0,
      lastHeardMs: answer.lastHeardMs,
      setAside: answer.setAside,
    }),
  });
  if (!answer.more && !(await isClosed(database, run))) {
    await recordClockNews(database, { run, device, wallMs: world.readWallMs() });
  }
  const ahead = answer.more ? [] : await chainsAhead(world, at, answer.have);
  return {
    type: "entries.stored",
    ownSeq: await readOwnSeq(world, at),
    answer,
    gaveWay: stored.gaveWay,
    isBroken: stored.isBroken,
    canRelay: ahead.length > 0,
  };
}

// Chains of other devices that are held here farther than at the hub, as far as their devices signed them.
async function chainsAhead(
  world: SyncWorld,
  at: RunAtWork,
  have: PullAnswer["have"],
): Promise<readonly Segment[]> {
  const { database } = world;
  const { run } = at.stored;
  const ahead: Segment[] = [];
  let entriesLeft = pushEntriesMax;
  for (const { device, seq } of await headsOfRun(database, run)) {
    const afterSeq = have[device] ?? 0;
    if (device === at.device.device || seq <= afterSeq || ahead.length === pushSegmentsMax)
      continue;
    const segment = await segmentAfter(database, { run, device }, afterSeq, entriesLeft);
    if (segment === undefined) continue;
    ahead.push(segment);
    entriesLeft -= segment.entries.bodies.length;
  }
  return ahead;
}

async function relayEntries(
  world: SyncWorld,
  at: RunAtWork,
  had: PullAnswer["have"],
): Promise<SyncInput> {
  const segments = await chainsAhead(world, at, had);
  if (segments.length === 0) {
    return {
      type: "entries.relayed",
      ownSeq: await readOwnSeq(world, at),
      have: had,
      canRelay: false,
    };
  }
  const { have } = await pushSegments(world, at, segments);
  // Only while it brings the hub forward: what it refused once it would refuse again.
  const isForward = segments.some(({ head }) => (have[head.device] ?? 0) >= head.seq);
  const canRelay = isForward && (await chainsAhead(world, at, have)).length > 0;
  return { type: "entries.relayed", ownSeq: await readOwnSeq(world, at), have, canRelay };
}

async function readOwnSeq(world: SyncWorld, at: RunAtWork): Promise<number> {
  const head = await world.database.heads.get([at.stored.run, at.device.device]);
  return head?.seq ?? 0;
}

function prefixThatFits(entries: readonly Entry[]): readonly Entry[] {
  let characters = 0;
  const end = entries.findIndex((entry, index) => {
    characters += JSON.stringify(entry).length;
    return index > 0 && characters > pushCharactersMax;
  });
  return end === -1 ? entries : entries.slice(0, end);
}

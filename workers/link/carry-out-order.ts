// One order of a sync session, carried out against hub and store.

import { assert } from "../../machines/base/assert.ts";
import type { Entry } from "../../machines/record/entry.ts";
import type { PullAnswer } from "../../machines/sync/pull.ts";
import { pushEntriesMax } from "../../machines/sync/push.ts";
import type { SyncInput, SyncOrder } from "../../machines/sync/sync-session.ts";
import { admitDevices } from "../store/admit-devices.ts";
import { isClosed } from "../store/read-rights.ts";
import { entriesAfter, readStoredProcedure } from "../store/read-run.ts";
import { recordClockNews } from "../store/record-clock.ts";
import { storePulled } from "../store/store-pulled.ts";
import { writeProcedure } from "../store/write-procedure.ts";
import { HubGarbledError } from "./hub-garbled-error.ts";
import { askOpen, askProcedure, askPull, askPush, putProcedure } from "./hub-requests.ts";
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
  const { run, token, title, procedure } = at.stored;
  const { device, name: deviceName } = at.device;
  await askOpen(world.door, { run, device, deviceName, token, title, procedure });
  await changeLink(world, run, (link) => ({ ...link, registered: true }));
  return { type: "run.opened" };
}

async function pushEntries(world: SyncWorld, at: RunAtWork, afterSeq: number): Promise<SyncInput> {
  const { run, token } = at.stored;
  const { device } = at.device;
  const unsent = await entriesAfter(world.database, { run, device }, afterSeq, pushEntriesMax);
  assert(unsent.length > 0, "what is pushed is held");
  const sentMs = world.readWallMs();
  const answer = await askPush(world.door, { run, token }, prefixThatFits(unsent));
  const exchange: Exchange = { sentMs, returnedMs: world.readWallMs(), stamps: answer.stamps };
  await changeLink(world, run, (link) => ({
    ...afterContact(link, exchange),
    confirmedSeq: answer.have[device] ?? 0,
  }));
  return { type: "entries.pushed", afterSeq, answer };
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
  const entries = answer.entries.filter((entry) => entry.run === run);
  if (entries.length < answer.entries.length) throw new HubGarbledError([]);
  await storePulled(database, {
    run,
    entries,
    link: (link) => ({
      ...link,
      cursor: answer.cursor,
      confirmedSeq: answer.have[device] ?? 0,
      lastHeardMs: answer.lastHeardMs,
    }),
  });
  if (!answer.more && !(await isClosed(database, run))) {
    await recordClockNews(database, { run, device, wallMs: world.readWallMs() });
  }
  return { type: "entries.stored", ownSeq: await readOwnSeq(world, at), answer };
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

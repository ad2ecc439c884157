// Carries out the orders of a sync session: asks the hub, reads and writes the store.
//
// The service worker runs it; a page runs it itself where it has no service worker. Both run the
// same code, in turn.
// [sync-loop 1] Of one run, one round is under way on a device at any time; one more may wait, and
//   whoever wants a sync meanwhile shares that one.
// [sync-loop 2] A round that breaks off leaves the store as whole as it was; the next begins from it.

import type { RunId } from "../../machines/record/ids.ts";
import { createSession, stepSession } from "../../machines/sync/sync-session.ts";
import type {
  SyncEnd,
  SyncFacts,
  SyncInput,
  SyncOrder,
  SyncSession,
} from "../../machines/sync/sync-session.ts";
import { isInCharge } from "../store/read-rights.ts";
import { readLink, readRun, unsentOfRun } from "../store/read-run.ts";
import { readDevice } from "../store/this-device.ts";
import { HubGarbledError } from "./hub-garbled-error.ts";
import { HubRefusedError } from "./hub-refused-error.ts";
import { HubUnreachableError } from "./hub-unreachable-error.ts";
import { carryOut } from "./carry-out-order.ts";
import { fetchInjectScript } from "./fetch-inject-script.ts";
import { noteFailure, noteRound } from "./note-contact.ts";
import type { RunAtWork, SyncWorld } from "./sync-world.ts";
import { inTurn } from "./writer-lock.ts";

/** Syncs runs when it is asked to. */
export type SyncLoop = {
  /** Syncs one run; resolves when the round has ended. Errors: the store's. */
  readonly syncRun: (run: RunId) => Promise<SyncEnd>;
  /**
   * Syncs every run that has something to bring to the hub or to fetch before it can be opened.
   *
   * @returns whether every round was finished
   * Errors: the store's.
   */
  readonly syncAll: () => Promise<boolean>;
};

/** A loop that has not synced yet. */
export function createSyncLoop(world: SyncWorld): SyncLoop {
  const sessions = new Map<RunId, SyncSession>();
  const waiting = new Map<RunId, Promise<SyncEnd>>();
  const scriptless = new Set<RunId>();

  function syncRun(run: RunId): Promise<SyncEnd> {
    const shared = waiting.get(run);
    if (shared !== undefined) return shared;
    const round = inTurn(`sync:${world.database.name}:${run}`, () => {
      waiting.delete(run);
      return runRound(world, { sessions, scriptless }, run);
    });
    waiting.set(run, round);
    return round;
  }

  async function syncAll(): Promise<boolean> {
    let finished = true;
    for (const run of await runsToSync(world)) {
      const { type } = await syncRun(run);
      finished &&= type === "round.finished";
    }
    return finished;
  }

  return { syncRun, syncAll };
}

// What the loop remembers between rounds; nothing of it is needed, for it may be stopped at any time.
type Memory = {
  readonly sessions: Map<RunId, SyncSession>;
  /** Runs for which the hub has no inject script. */
  readonly scriptless: Set<RunId>;
};

async function runRound(
  world: SyncWorld,
  { sessions, scriptless }: Memory,
  run: RunId,
): Promise<SyncEnd> {
  const stored = await readRun(world.database, run);
  const token = stored?.token ?? null;
  // A run that came by a bundle is known to no hub by this device.
  if (stored === undefined || token === null) return { type: "round.finished" };
  const at: RunAtWork = {
    stored: { ...stored, token },
    device: await readDevice(world.database),
  };
  const facts = await readFacts(world, at);
  // Only the count of failures matters between rounds; the rest is read from the store.
  const before = sessions.get(run);
  const ready: SyncSession = { ...createSession(facts), ...keptOf(before) };
  const ended = await takeSteps(world, at, stepSession(ready, { type: "round.wanted", facts }));
  sessions.set(run, ended.session);
  if (ended.end.type === "round.finished") {
    await noteRound(world, run, ended.session);
    await fetchInjectScript(world, at, scriptless);
    world.tell({ type: "run.synced", run });
  } else {
    await noteFailure(world, run, ended.session);
    world.tell({ type: "run.sync-put-off", run, delayMs: ended.end.delayMs });
  }
  return ended.end;
}

function keptOf(session: SyncSession | undefined): Partial<SyncSession> {
  if (session === undefined) return {};
  return { failures: session.failures, pulledAnew: session.pulledAnew };
}

async function takeSteps(
  world: SyncWorld,
  at: RunAtWork,
  first: ReturnType<typeof stepSession>,
): Promise<{ readonly session: SyncSession; readonly end: SyncEnd }> {
  let { session, output } = first;
  while (output.type !== "round.finished" && output.type !== "round.put-off") {
    const input = await answerOf(world, at, output);
    ({ session, output } = stepSession(session, input));
  }
  return { session, end: output };
}

// What came of an order; what the hub refuses or does not answer is an answer too.
async function answerOf(world: SyncWorld, at: RunAtWork, order: SyncOrder): Promise<SyncInput> {
  try {
    return await carryOut(world, at, order);
  } catch (cause) {
    const random = world.random();
    if (cause instanceof HubUnreachableError) return { type: "request.failed", random };
    if (cause instanceof HubGarbledError) {
      const refusal = { code: "answer-unreadable", says: cause.message, waitMs: 0 };
      return { type: "request.refused", refusal, random };
    }
    if (!(cause instanceof HubRefusedError)) throw cause;
    const { code, says } = cause.refusal;
    const refusal = { code, says, waitMs: cause.waitMs };
    return { type: "request.refused", refusal, random };
  }
}

async function readFacts(world: SyncWorld, at: RunAtWork): Promise<SyncFacts> {
  const { database } = world;
  const { run, procedure, opener } = at.stored;
  const { device } = at.device;
  const [link, head, hasProcedure, director] = await Promise.all([
    readLink(database, run),
    database.heads.get([run, device]),
    database.procedures.where("identity").equals(procedure).count(),
    isInCharge(database, at.stored, device),
  ]);
  return {
    device,
    opener,
    director,
    hasProcedure: hasProcedure > 0,
    registered: link.registered,
    cursor: link.cursor,
    confirmedSeq: link.confirmedSeq,
    ownSeq: head?.seq ?? 0,
  };
}

async function runsToSync(world: SyncWorld): Promise<readonly RunId[]> {
  const { database } = world;
  const { device } = await readDevice(database);
  const wanted: RunId[] = [];
  for (const { run, procedure } of await database.runs.toArray()) {
    const unsent = await unsentOfRun(database, { run, device });
    const hasProcedure = await database.procedures.where("identity").equals(procedure).count();
    if (unsent > 0 || hasProcedure === 0) wanted.push(run);
  }
  return wanted;
}

// Taking segments into SQLite, those that come at once in one transaction.

import Database from "better-sqlite3";
import { assert } from "../../../machines/base/assert.ts";
import type { DeviceId, RunId } from "../../../machines/record/ids.ts";
import { digestsWanted, emptyChain } from "./judge-segment.ts";
import type { ChainEnd } from "./judge-segment.ts";
import { packText, tailOfText, unpackText } from "./pack-text.ts";
import { planTake } from "./plan-take.ts";
import type { PlannedSegment, RunState } from "./plan-take.ts";
import type { IncomingSegment, RecordStorage, TakeResult } from "./record-storage.ts";
import type { SetAsideNow } from "./sqlite-segments.ts";
import { digestsOfTexts } from "./stored-digests.ts";

type Waiting = {
  readonly segment: IncomingSegment;
  readonly nowMs: number;
  readonly resolve: (result: TakeResult) => void;
  readonly reject: (cause: unknown) => void;
};

/** `takeSegment` on this database. */
export function queueTakes(
  database: Database.Database,
  setAsideNow: SetAsideNow,
): RecordStorage["takeSegment"] {
  const takeOne = taker(database, setAsideNow);
  // Begun within the transaction of all, it is a savepoint: what fails takes nothing of the others.
  const takeWhole = database.transaction(takeOne);
  let queue: Waiting[] = [];

  const takeAll = database.transaction((waiting: readonly Waiting[]) =>
    waiting.map((one) => outcomeOf(() => takeWhole(one.segment, one.nowMs))),
  );

  function takeQueue(): void {
    const waiting = queue;
    queue = [];
    let outcomes: readonly Outcome[];
    try {
      outcomes = takeAll.immediate(waiting);
    } catch (cause) {
      outcomes = waiting.map(() => ({ cause }));
    }
    for (const [index, { resolve, reject }] of waiting.entries()) {
      const outcome = outcomes[index];
      if (outcome !== undefined && "result" in outcome) resolve(outcome.result);
      else reject(outcome?.cause);
    }
  }

  return (segment, nowMs) =>
    new Promise((resolve, reject) => {
      if (queue.length === 0) setImmediate(takeQueue);
      queue.push({ segment, nowMs, resolve, reject });
    });
}

type Outcome = { readonly result: TakeResult } | { readonly cause: unknown };

// What the database throws goes on, as it may have ended the whole transaction.
function outcomeOf(take: () => TakeResult): Outcome {
  try {
    return { result: take() };
  } catch (cause) {
    if (cause instanceof Database.SqliteError) throw cause;
    return { cause };
  }
}

type RunRow = {
  readonly number: number;
  readonly head: number;
  readonly isClosed: number;
  readonly hidesSomething: number;
};
type ChainRow = ChainEnd & { readonly chain: number; readonly tail: string };

function taker(
  database: Database.Database,
  setAsideNow: SetAsideNow,
): (segment: IncomingSegment, nowMs: number) => TakeResult {
  const readRun = database.prepare<[RunId], RunRow>(
    `SELECT number, head, is_closed AS isClosed, hides_something AS hidesSomething
     FROM runs WHERE run = ?`,
  );
  const readChain = database.prepare<[number, DeviceId], ChainRow>(
    "SELECT chain, have, digest, tail FROM chains WHERE run = ? AND device = ?",
  );
  const readStored = database.prepare<[number, number, number], { packed: Buffer }>(
    `SELECT packed FROM listed
     WHERE chain = ? AND from_seq + entries > ? AND from_seq <= ? ORDER BY from_seq`,
  );
  const list = lister(database);
  return (segment, nowMs) => {
    const run = readRun.get(segment.run);
    assert(run !== undefined, "the run of a segment is kept");
    const chain = readChain.get(run.number, segment.device);
    const state: RunState = {
      head: run.head,
      isClosed: run.isClosed === 1,
      hidesSomething: run.hidesSomething === 1,
      chains: new Map(chain === undefined ? [] : [[segment.device, chain]]),
    };
    const wanted = digestsWanted(segment, chain ?? emptyChain);
    const stored = new Map(
      wanted === null || chain === undefined
        ? []
        : digestsOfTexts(
            readStored
              .all(chain.chain, wanted.fromSeq, wanted.toSeq)
              .map(({ packed }) => unpackText(packed, chain.tail)),
          ),
    );
    const plan = planTake(state, segment, nowMs, (seq) => stored.get(seq));
    if (plan.setAside !== null) setAsideNow(plan.setAside);
    if (plan.segment !== null) list(run.number, state, plan.segment, plan.unveiledPlace);
    return plan.result;
  };
}

type List = (
  run: number,
  state: RunState,
  segment: PlannedSegment,
  unveiledPlace: number | null,
) => void;

function lister(database: Database.Database): List {
  const putChain = database.prepare<
    [number, DeviceId, number, string, string],
    { chain: number; tail: string }
  >(
    `INSERT INTO chains (run, device, have, digest, tail) VALUES (?, ?, ?, ?, ?)
     ON CONFLICT (run, device) DO UPDATE SET have = excluded.have, digest = excluded.digest
     RETURNING chain, tail`,
  );
  const addListed = database.prepare<
    [number, number, number | null, number, number, Uint8Array<ArrayBufferLike>]
  >(
    `INSERT INTO listed (run, place, chain, from_seq, entries, packed)
     VALUES (?, ?, ?, ?, ?, ?)`,
  );
  const putRun = database.prepare<[number, number, number, number]>(
    "UPDATE runs SET head = ?, is_closed = ?, hides_something = ? WHERE number = ?",
  );
  const addNoted = database.prepare(
    `INSERT INTO noted
       (run, place, device, seq, digest, text, is_director_only, admits, strikes_off, fires)
     VALUES (@run, @place, @device, @seq, @digest, @text, @isDirectorOnly, @admits, @strikesOff,
       @fires)`,
  );
  const countHidden = database.prepare<[number], { count: number }>(
    "SELECT count(*) AS count FROM noted WHERE run = ? AND is_director_only = 1",
  );
  return (run, { head, isClosed, hidesSomething }, segment, unveiledPlace) => {
    const { place, device, fromSeq, toSeq, digest, text, noted } = segment;
    const chain = putChain.get(run, device, toSeq, digest, tailOfText(text));
    assert(chain !== undefined, "a chain that was put is there");
    const packed = packText(text, chain.tail);
    addListed.run(run, place, chain.chain, fromSeq, toSeq - fromSeq + 1, packed);
    for (const { isDirectorOnly, ...one } of noted) {
      addNoted.run({ ...one, run, place, device, isDirectorOnly: Number(isDirectorOnly) });
    }
    if (unveiledPlace !== null) {
      const entries = countHidden.get(run)?.count ?? 0;
      addListed.run(run, unveiledPlace, null, 1, entries, new Uint8Array());
    }
    putRun.run(head, Number(isClosed), Number(hidesSomething), run);
  };
}

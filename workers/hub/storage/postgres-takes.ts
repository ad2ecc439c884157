// Taking segments into PostgreSQL: of each run one transaction at a time, with all that has come in for
// it meanwhile, each segment as if alone.

import { assert } from "../../../machines/base/assert.ts";
import type { DeviceId, RunId } from "../../../machines/record/ids.ts";
import { digestsWanted, emptyChain } from "./judge-segment.ts";
import type { ChainEnd } from "./judge-segment.ts";
import { packText, tailOfText, unpackText } from "./pack-text.ts";
import { planTake } from "./plan-take.ts";
import type { PlannedSegment, RunState, TakePlan } from "./plan-take.ts";
import type { Ask, PostgresDatabase } from "./postgres-database.ts";
import { setAsideWithin } from "./postgres-segments.ts";
import type { TellOthers } from "./postgres-wake.ts";
import type { IncomingSegment, RecordStorage, TakeResult } from "./record-storage.ts";
import { digestsOfTexts } from "./stored-digests.ts";

/** So many segments go into one transaction at most. */
const segmentsAtOnce = 200;

type Waiting = {
  readonly segment: IncomingSegment;
  readonly nowMs: number;
  readonly resolve: (result: TakeResult) => void;
  readonly reject: (cause: unknown) => void;
};

/** `takeSegment` on this database. */
export function postgresTakes(
  { transact }: PostgresDatabase,
  tellOthers: TellOthers,
): RecordStorage["takeSegment"] {
  const queues = new Map<RunId, Waiting[]>();

  async function takeQueue(run: RunId, queue: Waiting[]): Promise<void> {
    while (queue.length > 0) {
      const waiting = queue.splice(0, segmentsAtOnce);
      let outcomes: readonly Outcome[];
      try {
        outcomes = await transact((ask) => takeAll(ask, run, waiting));
      } catch (cause) {
        outcomes = waiting.map(() => ({ cause }));
      }
      for (const [index, { resolve, reject }] of waiting.entries()) {
        const outcome = outcomes[index];
        if (outcome !== undefined && "plan" in outcome) resolve(outcome.plan.result);
        else reject(outcome?.cause);
      }
      if (outcomes.some((one) => "plan" in one && one.plan.segment !== null)) tellOthers(run);
    }
    queues.delete(run);
  }

  return (segment, nowMs) =>
    new Promise((resolve, reject) => {
      const { run } = segment;
      const queue = queues.get(run);
      const waiting = { segment, nowMs, resolve, reject };
      if (queue !== undefined) queue.push(waiting);
      else {
        const begun = [waiting];
        queues.set(run, begun);
        void takeQueue(run, begun);
      }
    });
}

type Outcome = { readonly plan: TakePlan } | { readonly cause: unknown };

type ChainRow = ChainEnd & {
  readonly device: DeviceId;
  readonly chain: number;
  readonly tail: string;
};

type LockedRun = {
  readonly number: number;
  readonly state: RunState;
  readonly stored: ReadonlyMap<DeviceId, ChainRow>;
};

async function takeAll(
  ask: Ask,
  run: RunId,
  waiting: readonly Waiting[],
): Promise<readonly Outcome[]> {
  const devices = [...new Set(waiting.map(({ segment }) => segment.device))];
  const locked = await lockRun(ask, run, devices);
  const plans: TakePlan[] = [];
  const outcomes: Outcome[] = [];
  // Of what this transaction takes, by device.
  const digestsTaken = new Map<DeviceId, Map<number, string>>();
  for (const { segment, nowMs } of waiting) {
    const { device } = segment;
    const taken = digestsTaken.get(device) ?? new Map<number, string>();
    digestsTaken.set(device, taken);
    const stored = await readDigests(ask, locked, segment);
    const outcome = planOf(locked, segment, nowMs, (seq) => taken.get(seq) ?? stored.get(seq));
    outcomes.push(outcome);
    if (!("plan" in outcome)) continue;
    plans.push(outcome.plan);
    if (outcome.plan.segment === null) continue;
    for (const [index, digest] of segment.digests.entries()) {
      taken.set(segment.fromSeq + index, digest);
    }
  }
  await write(ask, locked, plans);
  return outcomes;
}

function planOf(
  { state }: LockedRun,
  segment: IncomingSegment,
  nowMs: number,
  digestAt: (seq: number) => string | undefined,
): Outcome {
  try {
    return { plan: planTake(state, segment, nowMs, digestAt) };
  } catch (cause) {
    return { cause };
  }
}

async function lockRun(ask: Ask, run: RunId, devices: readonly DeviceId[]): Promise<LockedRun> {
  type RunRow = Omit<RunState, "chains"> & { readonly number: number };
  const [row] = await ask<RunRow>(
    `SELECT number, head, is_closed AS "isClosed", hides_something AS "hidesSomething"
     FROM runs WHERE run = $1 FOR NO KEY UPDATE`,
    [run],
  );
  assert(row !== undefined, "the run of a segment is kept");
  const { number, ...state } = row;
  const chains = await ask<ChainRow>(
    "SELECT device, chain, have, digest, tail FROM chains WHERE run = $1 AND device = ANY ($2)",
    [number, devices],
  );
  const stored = new Map(chains.map((chain) => [chain.device, chain]));
  return { number, state: { ...state, chains: new Map<DeviceId, ChainEnd>(stored) }, stored };
}

async function readDigests(
  ask: Ask,
  { state, stored }: LockedRun,
  segment: IncomingSegment,
): Promise<ReadonlyMap<number, string>> {
  const wanted = digestsWanted(segment, state.chains.get(segment.device) ?? emptyChain);
  const chain = stored.get(segment.device);
  if (wanted === null || chain === undefined) return new Map();
  const rows = await ask<{ packed: Buffer }>(
    `SELECT packed FROM listed
     WHERE chain = $1 AND from_seq + entries > $2 AND from_seq <= $3 ORDER BY from_seq`,
    [chain.chain, wanted.fromSeq, wanted.toSeq],
  );
  return digestsOfTexts(rows.map(({ packed }) => unpackText(packed, chain.tail)));
}

async function write(ask: Ask, locked: LockedRun, plans: readonly TakePlan[]): Promise<void> {
  const segments = plans.flatMap(({ segment }) => segment ?? []);
  for (const { setAside } of plans) if (setAside !== null) await setAsideWithin(ask, setAside);
  if (segments.length === 0) return;
  const { number, state } = locked;
  const chains = await putChains(ask, locked, segments);
  await addNoted(ask, number, segments);
  await addListed(ask, number, { segments, chains });
  for (const { unveiledPlace } of plans) {
    if (unveiledPlace !== null) await addUnveiled(ask, number, unveiledPlace);
  }
  await ask("UPDATE runs SET head = $2, is_closed = $3, hides_something = $4 WHERE number = $1", [
    number,
    state.head,
    state.isClosed,
    state.hidesSomething,
  ]);
}

type ChainPut = Pick<ChainRow, "device" | "chain" | "tail">;

async function putChains(
  ask: Ask,
  { number, state }: LockedRun,
  segments: readonly PlannedSegment[],
): Promise<ReadonlyMap<DeviceId, ChainPut>> {
  const firstByDevice = new Map<DeviceId, PlannedSegment>();
  for (const segment of segments) {
    if (!firstByDevice.has(segment.device)) firstByDevice.set(segment.device, segment);
  }
  const devices = [...firstByDevice.keys()];
  const ends = devices.map((device) => state.chains.get(device) ?? emptyChain);
  const rows = await ask<ChainPut>(
    `INSERT INTO chains (run, device, have, digest, tail)
     SELECT $1, * FROM unnest($2::text[], $3::bigint[], $4::text[], $5::text[])
     ON CONFLICT (run, device) DO UPDATE SET have = excluded.have, digest = excluded.digest
     RETURNING device, chain, tail`,
    [
      number,
      devices,
      ends.map(({ have }) => have),
      ends.map(({ digest }) => digest),
      [...firstByDevice.values()].map(({ text }) => tailOfText(text)),
    ],
  );
  return new Map(rows.map((row) => [row.device, row]));
}

async function addListed(
  ask: Ask,
  run: number,
  {
    segments,
    chains,
  }: {
    readonly segments: readonly PlannedSegment[];
    readonly chains: ReadonlyMap<DeviceId, ChainPut>;
  },
): Promise<void> {
  const chainsOfSegments = segments.map(({ device }) => chains.get(device));
  await ask(
    `INSERT INTO listed (run, place, chain, from_seq, entries, packed)
     SELECT $1, * FROM unnest($2::bigint[], $3::bigint[], $4::bigint[], $5::bigint[], $6::bytea[])`,
    [
      run,
      segments.map(({ place }) => place),
      chainsOfSegments.map((chain) => chain?.chain),
      segments.map(({ fromSeq }) => fromSeq),
      segments.map(({ fromSeq, toSeq }) => toSeq - fromSeq + 1),
      segments.map(({ text }, index) => packText(text, chainsOfSegments[index]?.tail ?? "")),
    ],
  );
}

async function addNoted(ask: Ask, run: number, segments: readonly PlannedSegment[]): Promise<void> {
  const noted = segments.flatMap(({ place, device, noted: ofSegment }) =>
    ofSegment.map((one) => ({ ...one, place, device })),
  );
  if (noted.length === 0) return;
  await ask(
    `INSERT INTO noted
       (run, place, device, seq, digest, text, is_director_only, admits, strikes_off, fires)
     SELECT $1, * FROM unnest($2::bigint[], $3::text[], $4::bigint[], $5::text[], $6::text[],
       $7::boolean[], $8::text[], $9::text[], $10::text[])`,
    [
      run,
      noted.map(({ place }) => place),
      noted.map(({ device }) => device),
      noted.map(({ seq }) => seq),
      noted.map(({ digest }) => digest),
      noted.map(({ text }) => text),
      noted.map(({ isDirectorOnly }) => isDirectorOnly),
      noted.map(({ admits }) => admits),
      noted.map(({ strikesOff }) => strikesOff),
      noted.map(({ fires }) => fires),
    ],
  );
}

async function addUnveiled(ask: Ask, run: number, place: number): Promise<void> {
  await ask(
    `INSERT INTO listed (run, place, chain, from_seq, entries, packed)
     SELECT $1, $2, NULL, 1, count(*), '' FROM noted
     WHERE run = $1 AND is_director_only AND place < $2`,
    [run, place],
  );
}

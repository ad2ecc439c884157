// A device that was let in and lies: it writes its own chain by hand and sends whatever it likes.
//
// What it may do is to be found out, set aside and kept; what it may not do is to change anything for
// the others.

import { chainDigest } from "../../machines/record/chain-digest.ts";
import type { Entry, EntryBody } from "../../machines/record/entry.ts";
import type { DeviceId } from "../../machines/record/ids.ts";
import type { PositionId } from "../../machines/procedure/ids.ts";
import { createSegment } from "../../machines/sync/segment.ts";
import type { Segment } from "../../machines/sync/segment.ts";
import type { DeviceKey } from "../../workers/keys/device-key.ts";
import { createToken } from "../../workers/keys/random-token.ts";
import { sha256Hex } from "../../workers/keys/sha-256.ts";
import { signHead } from "../../workers/keys/sign-head.ts";
import { askJoin, askPull, askPush } from "../../workers/link/hub-requests.ts";
import { joiningOf } from "../../workers/link/introduce-device.ts";
import { fixedKey } from "../support/fixed-keys.ts";
import { happens, pick } from "./chance.ts";
import { recordsOnDisk } from "./disk.ts";
import { askCode, openDoor } from "./joining.ts";
import { note } from "./simulation.ts";
import type { Simulation } from "./simulation.ts";

/** The device that lies. */
export type Liar = {
  readonly key: DeviceKey;
  readonly token: string;
  /** What it last said that its chain is. */
  chain: readonly Entry[];
};

/** The lane that it was let in for. */
const ownLane = "ev1" as PositionId;

/** The liar comes in by a code, as anybody; or tells its next lie. Nothing, while the hub is down. */
export async function tellLie(simulationMutable: Simulation): Promise<void> {
  const { hub, liar } = simulationMutable;
  if (!hub.isUp() || hub.isFull()) return;
  if (liar === null) return comeIn(simulationMutable);
  const lie = pick(simulationMutable.random, lies);
  const segment = await lie(simulationMutable, liar);
  if (segment === null) return;
  const door = { run: simulationMutable.run, token: liar.token };
  try {
    const { refused } = await askPush(openDoor(simulationMutable), door, [segment]);
    note(simulationMutable, "lie", `${lie.name} ${refused.map(({ code }) => code).join()}`);
    if (happens(simulationMutable.random, 0.3)) {
      await askPull(openDoor(simulationMutable), door, null);
    }
  } catch (cause) {
    note(simulationMutable, "lie-refused", `${lie.name} ${String(cause)}`);
  }
}

async function comeIn(simulationMutable: Simulation): Promise<void> {
  const key = await fixedKey(9);
  const token = createToken();
  const code = await askCode(simulationMutable, { role: "crew", lane: ownLane });
  if (code === null) return;
  const self = { ...key, key: "self", name: "liar" } as const;
  await askJoin(openDoor(simulationMutable), await joiningOf(code, self, token));
  simulationMutable.liar = { key, token, chain: [] };
  note(simulationMutable, "lie", "comes in");
}

/** A lie as a segment; null: there is nothing yet to lie about. */
export async function nextLie(simulation: Simulation, liarMutable: Liar): Promise<Segment | null> {
  return pick(simulation.random, lies)(simulation, liarMutable);
}

type Lie = (simulation: Simulation, liar: Liar) => Promise<Segment | null>;

// Entries that follow on well, of all that it may not write, and for all times.
async function tellMore(simulation: Simulation, liarMutable: Liar): Promise<Segment> {
  const { random } = simulation;
  const before = liarMutable.chain.length;
  const count = 1 + random.nextBelow(3);
  for (let one = 0; one < count; one += 1) {
    liarMutable.chain = [...liarMutable.chain, entryAfter(simulation, liarMutable)];
  }
  return segmentOf(liarMutable, liarMutable.chain.slice(before));
}

// Another entry under a name that it has used.
async function fork(simulation: Simulation, liar: Liar): Promise<Segment | null> {
  if (liar.chain.length < 2) return null;
  const at = 1 + simulation.random.nextBelow(liar.chain.length - 1);
  const branch = { ...liar, chain: liar.chain.slice(0, at) };
  return segmentOf(liar, [entryAfter(simulation, branch)]);
}

async function leaveGap(simulation: Simulation, liar: Liar): Promise<Segment> {
  const first = entryAfter(simulation, liar);
  const second = entryAfter(simulation, { ...liar, chain: [...liar.chain, first] });
  return segmentOf(liar, [second]);
}

async function breakChain(simulation: Simulation, liar: Liar): Promise<Segment | null> {
  if (liar.chain.length === 0) return null;
  return segmentOf(liar, [{ ...entryAfter(simulation, liar), prev: sha256Hex("elsewhere") }]);
}

// Entries in the name of somebody else, signed with its own key.
async function nameAnother(simulation: Simulation, liar: Liar): Promise<Segment> {
  const { devices, random, run } = simulation;
  const { id, disk } = pick(random, devices);
  const theirs = recordsOnDisk(disk, "entries").filter(({ device }) => device === id);
  const last = theirs.toSorted((a, b) => b.seq - a.seq)[0];
  const entry: Entry = {
    ...entryAfter(simulation, liar),
    run,
    device: id,
    seq: (last?.seq ?? 0) + 1,
    prev: last === undefined ? null : chainDigest(last, sha256Hex),
  };
  const digest = chainDigest(entry, sha256Hex);
  const head = await signHead(liar.key, { run, seq: entry.seq, digest });
  return createSegment([entry], { ...head, device: id });
}

// All that it ever said, once more.
async function replay(_: Simulation, liar: Liar): Promise<Segment | null> {
  return liar.chain.length === 0 ? null : segmentOf(liar, liar.chain);
}

// Its whole chain with one entry changed, signed anew.
async function rewrite(simulation: Simulation, liar: Liar): Promise<Segment | null> {
  if (liar.chain.length === 0) return null;
  const changed: Entry[] = [];
  const at = simulation.random.nextBelow(liar.chain.length);
  for (const [index, entry] of liar.chain.entries()) {
    const before = changed.at(-1);
    const prev = before === undefined ? null : chainDigest(before, sha256Hex);
    changed.push({ ...entry, prev, wallMs: index === at ? entry.wallMs + 1 : entry.wallMs });
  }
  return segmentOf(liar, changed);
}

async function segmentOf({ key }: Liar, entries: readonly Entry[]): Promise<Segment> {
  const last = entries.at(-1) as Entry;
  const { run, seq } = last;
  return createSegment(
    entries,
    await signHead(key, { run, seq, digest: chainDigest(last, sha256Hex) }),
  );
}

function entryAfter(simulation: Simulation, { key, chain }: Liar): Entry {
  const { random, clock, run, devices } = simulation;
  const last = chain.at(-1);
  const other = pick(random, devices).id;
  return {
    run,
    device: key.device,
    seq: (last?.seq ?? 0) + 1,
    prev: last === undefined ? null : chainDigest(last, sha256Hex),
    // From years ago to years ahead.
    wallMs: clock.nowMs() + (happens(random, 0.5) ? 0 : random.nextBelow(4e9) * 50 - 1e11),
    // It claims to have seen what was never written.
    seen: happens(random, 0.5) ? { [other]: 1 + random.nextBelow(60) } : {},
    position: happens(random, 0.5) ? ownLane : null,
    body: pick(random, bodiesFor(simulation, key.device)),
  };
}

function bodiesFor({ index, random, devices }: Simulation, own: DeviceId): readonly EntryBody[] {
  const step = pick(random, index.procedure.steps).id;
  const other = pick(random, devices).id;
  const reason = "A lie.";
  return [
    { kind: "device.joined", joined: own, role: "director", lane: null, deviceName: "Boss" },
    { kind: "device.joined", joined: other, role: "observer", lane: null, deviceName: "Nobody" },
    { kind: "device.struck-off", struckOff: other, reason },
    { kind: "run.closed" },
    { kind: "run.aborted", reason },
    { kind: "step.done", step },
    { kind: "step.started", step },
    { kind: "hold.raised", scope: { covers: "everyone" }, reason, inject: null },
    { kind: "entry.withdrawn", withdrawn: { device: other, seq: 1 + random.nextBelow(9) }, reason },
    { kind: "clock.sampled", offsetMs: 1e9, roundTripMs: 0 },
    { kind: "note.added", text: "A lie.", step: null, oddity: false },
  ];
}

const lies: readonly Lie[] = [
  tellMore,
  tellMore,
  fork,
  leaveGap,
  breakChain,
  nameAnother,
  replay,
  rewrite,
];

// The hub is killed with SIGKILL while devices push, started again on its file, and asked for
// everything: what it had acknowledged must be there.
//
// It needs the built hub (dist/hub/main.js), which the project's set-up builds if it is not there.
// LANEHOLD_KILLS says how many kills, 20 unless told. A killed process does not lose what the system has
// in its own memory of the disk; that commits wait for the disk itself is asserted in
// tests/unit/workers/hub/storage/sqlite-storage.test.ts.

import { expect, onTestFinished, test } from "vitest";
import { entryText } from "../../machines/record/digest-entry.ts";
import type { Entry } from "../../machines/record/entry.ts";
import type { RunId } from "../../machines/record/ids.ts";
import { readProceduresAnswer } from "../../machines/sync/procedures.ts";
import { protocolHeader, protocolVersion } from "../../machines/sync/protocol-version.ts";
import { readPullAnswer } from "../../machines/sync/pull.ts";
import { readPushAnswer } from "../../machines/sync/push.ts";
import { createSegment } from "../../machines/sync/segment.ts";
import { createDeviceKey } from "../../workers/keys/device-key.ts";
import { createRunId } from "../../workers/keys/random-id.ts";
import { createToken } from "../../workers/keys/random-token.ts";
import { sha256Hex } from "../../workers/keys/sha-256.ts";
import { signHead } from "../../workers/keys/sign-head.ts";
import { checkSegments } from "../../workers/link/check-segments.ts";
import { joiningOf, openingOf } from "../../workers/link/introduce-device.ts";
import type { Device, RunAtHub } from "../../workers/store/database.ts";
import { startHub } from "../support/hub-process.ts";
import type { HubProcess } from "../support/hub-process.ts";

const kills = Number(process.env["LANEHOLD_KILLS"] ?? 20);
const writers = 4;

type Writer = {
  readonly run: RunId;
  /** Its key, kept as a device keeps its own. */
  readonly self: Device;
  readonly token: string;
  /** All that it ever wrote. */
  readonly written: Entry[];
  /** Up to this seq the hub has acknowledged. */
  acknowledged: number;
};

test("[storage 1] a hub killed under load has every entry that it acknowledged", async () => {
  const hub = await startHub();
  onTestFinished(hub.remove);
  const all = await joinWriters(hub);
  let lost = 0;
  for (let kill = 1; kill <= kills; kill += 1) {
    // The kill comes at an acknowledgement, while the other writers' pushes are under way.
    await pushUntil(hub, all, 3 + ((kill * 7) % 23));
    await hub.restart();
    // Reading everything each time would take longer with each kill; what was lost once stays lost.
    if (kill % 20 === 0 || kill === kills) lost += await countLost(hub, all);
  }
  const acknowledged = all.reduce((sum, writer) => sum + writer.acknowledged, 0);
  process.stderr.write(`kills ${kills}, acknowledged entries ${acknowledged}, lost ${lost}\n`);
  expect(lost).toBe(0);
  expect(acknowledged).toBeGreaterThan(kills * 3);
});

/** All writers push at once; at that many acknowledgements the hub is killed. */
async function pushUntil(
  hub: HubProcess,
  all: readonly Writer[],
  acknowledgements: number,
): Promise<void> {
  let left = acknowledgements;
  const killing: Promise<void>[] = [];
  const pushOn = async (writer: Writer) => {
    while (killing.length === 0) {
      const isAcknowledged = await push(hub, writer).catch(() => false);
      if (killing.length > 0) return;
      if (!isAcknowledged) throw new Error("A hub that lives did not answer.");
      left -= 1;
      if (left <= 0) killing.push(hub.kill());
    }
  };
  await Promise.all(all.map(pushOn));
  await Promise.all(killing);
}

/** Writes some entries and sends what is not acknowledged. @returns whether the hub acknowledged it */
async function push(hub: HubProcess, writer: Writer): Promise<boolean> {
  for (let count = 0; count <= writer.written.length % 5; count += 1) write(writer);
  const { run, self } = writer;
  const entries = writer.written.slice(writer.acknowledged, writer.acknowledged + 500);
  const last = entries.at(-1) as Entry;
  const digest = sha256Hex(entryText(last));
  const head = await signHead(self, { run, seq: last.seq, digest });
  const json = { segments: [createSegment(entries, head)] };
  const answer = await ask(hub, "POST", `/api/runs/${run}/entries`, { writer, json });
  const { value } = readPushAnswer(await answer.json());
  if (value === null) return false;
  expect(value.refused).toEqual([]);
  const have = value.have[self.device] ?? 0;
  expect(have).toBe(last.seq);
  writer.acknowledged = have;
  return true;
}

function write({ run, self, written }: Writer): void {
  const before = written.at(-1);
  written.push({
    run,
    device: self.device,
    seq: written.length + 1,
    prev: before === undefined ? null : sha256Hex(entryText(before)),
    wallMs: written.length,
    seen: {},
    position: null,
    body: { kind: "note.added", text: "x".repeat(300), step: null, oddity: false },
  });
}

/** How many acknowledged entries the hub lacks or has otherwise. */
async function countLost(hub: HubProcess, all: readonly Writer[]): Promise<number> {
  const [first] = all;
  const texts = new Set<string>();
  let query = "";
  let isMore = true;
  let pulled = 0;
  while (isMore) {
    const path = `/api/runs/${first!.run}/entries${query}`;
    const answer = await ask(hub, "GET", path, { writer: first! });
    const { value, faults } = readPullAnswer(await answer.json());
    if (value === null) throw new Error(JSON.stringify(faults));
    const { segments, forged, faults: wrong } = await checkSegments(value.segments, first!.run);
    expect([forged, wrong]).toEqual([[], []]);
    for (const entry of segments.flatMap(({ entries }) => entries)) texts.add(entryText(entry));
    pulled += segments.length;
    query = `?epoch=${value.cursor.epoch}&after=${value.cursor.after}`;
    isMore = value.more;
    // Places are gap-free, also after a kill.
    expect(value.cursor.after).toBe(pulled);
  }
  const acknowledged = all.flatMap((writer) => writer.written.slice(0, writer.acknowledged));
  return acknowledged.filter((entry) => !texts.has(entryText(entry))).length;
}

/** The first opens the run, the others join with a code each. */
async function joinWriters(hub: HubProcess): Promise<readonly Writer[]> {
  const selves = await Promise.all(
    Array.from({ length: writers }, async (_, index): Promise<Device> => {
      return { ...(await createDeviceKey()), key: "self", name: `Tablet ${index}` };
    }),
  );
  const run = createRunId(selves[0]!.device);
  const all = selves.map((self): Writer => {
    return { run, self, token: createToken(), written: [], acknowledged: 0 };
  });
  const [director, ...others] = all;
  const list = await ask(hub, "GET", "/api/procedures", { writer: director! });
  const procedure = readProceduresAnswer(await list.json()).value!.procedures[0]!.identity;
  const { self, token } = director!;
  const stored: RunAtHub = {
    run,
    title: "Monday",
    procedure,
    role: "director",
    lane: null,
    opener: true,
    recoveryDoor: null,
    token,
    storedAtMs: 0,
  };
  const opening = await openingOf({ stored, device: self });
  const opened = await ask(hub, "POST", "/api/runs", { writer: director!, json: opening });
  expect(opened.status).toBe(200);
  for (const writer of others) {
    const json = { role: "observer", lane: null };
    const invited = await ask(hub, "POST", `/api/runs/${run}/invitations`, {
      writer: director!,
      json,
    });
    const { code } = (await invited.json()) as { readonly code: string };
    const joining = await joiningOf(code, writer.self, writer.token);
    const joined = await ask(hub, "POST", "/api/join", { writer, json: joining });
    expect(joined.status).toBe(200);
  }
  return all;
}

function ask(
  { address }: HubProcess,
  method: string,
  path: string,
  { writer, json }: { readonly writer: Writer; readonly json?: unknown },
): Promise<Response> {
  return fetch(`${address}${path}`, {
    method,
    headers: { [protocolHeader]: String(protocolVersion), authorization: `Bearer ${writer.token}` },
    body: json === undefined ? null : JSON.stringify(json),
  });
}

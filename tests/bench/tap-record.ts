// A record of a length that is asked for: a second device joins the run and sends what a reader would
// enter for every lane but one, then notes.

import { gatesOfStep } from "../../machines/procedure/gates-of-step.ts";
import type { PositionId } from "../../machines/procedure/ids.ts";
import type { Procedure } from "../../machines/procedure/procedure.ts";
import type { Step } from "../../machines/procedure/step.ts";
import { entryDigest } from "../../machines/record/digest-entry.ts";
import type { Entry, EntryBody } from "../../machines/record/entry.ts";
import type { RunId } from "../../machines/record/ids.ts";
import { joiningText } from "../../machines/sync/join.ts";
import { protocolHeader, protocolVersion } from "../../machines/sync/protocol-version.ts";
import { pushEntriesMax, readPushAnswer } from "../../machines/sync/push.ts";
import { createSegment } from "../../machines/sync/segment.ts";
import { createDeviceKey } from "../../workers/keys/device-key.ts";
import type { DeviceKey } from "../../workers/keys/device-key.ts";
import { createToken } from "../../workers/keys/random-token.ts";
import { sha256Hex } from "../../workers/keys/sha-256.ts";
import { signHead } from "../../workers/keys/sign-head.ts";
import { signText } from "../../workers/keys/sign-text.ts";

/** The reader's device, once the hub has let it in. */
export type RemoteReader = {
  readonly address: string;
  readonly run: RunId;
  readonly key: DeviceKey;
  readonly token: string;
};

/** Joins with a code that a director's device has made. */
export async function joinAsReader(address: string, code: string): Promise<RemoteReader> {
  const key = await createDeviceKey();
  const token = createToken();
  const signed = { code, device: key.device, token };
  const proof = await signText(key.privateKey, joiningText(signed));
  const asked = { ...signed, deviceName: "Bench reader", key: key.publicKey, proof };
  const { run } = (await post(`${address}/api/join`, token, asked)) as { readonly run: RunId };
  return { address, run, key, token };
}

/** Sends so many entries. The lane that is left out stays where it is. */
export async function sendEntries(
  reader: RemoteReader,
  procedure: Procedure,
  options: { readonly count: number; readonly without: PositionId; readonly fromMs: number },
): Promise<void> {
  const bodies = procedure.steps.filter(({ lane }) => lane !== options.without).flatMap(worked);
  const entries: Entry[] = [];
  while (entries.length < options.count) {
    const next = bodies[entries.length] ?? aNote(entries.length);
    const before = entries.at(-1);
    entries.push({
      run: reader.run,
      device: reader.key.device,
      seq: entries.length + 1,
      prev: before === undefined ? null : entryDigest(before, sha256Hex),
      wallMs: options.fromMs + entries.length,
      seen: {},
      ...next,
    });
  }
  for (let from = 0; from < entries.length; from += pushEntriesMax) {
    const path = `${reader.address}/api/runs/${reader.run}/entries`;
    const part = entries.slice(from, from + pushEntriesMax);
    const last = part.at(-1) as Entry;
    const digest = entryDigest(last, sha256Hex);
    const head = await signHead(reader.key, { run: reader.run, seq: last.seq, digest });
    const segments = [createSegment(part, head)];
    const { value } = readPushAnswer(await post(path, reader.token, { segments }));
    if (value?.refused.length !== 0) throw new Error(JSON.stringify(value));
  }
}

type Act = { readonly position: PositionId | null; readonly body: EntryBody };

function worked(step: Step): readonly Act[] {
  const { id, lane } = step;
  const gates = gatesOfStep(step)
    .filter(({ sort }) => sort === "warning" || sort === "caution")
    .map((gate): EntryBody => ({ kind: "gate.acknowledged", step: id, gate: gate.id }));
  const bodies: readonly EntryBody[] = [
    ...gates,
    { kind: "step.started", step: id },
    { kind: "step.done", step: id },
  ];
  return bodies.map((body) => ({ position: lane, body }));
}

function aNote(number: number): Act {
  const text = `Remark ${number}: seen from the deck, nothing to be done.`;
  return { position: null, body: { kind: "note.added", text, step: null, oddity: false } };
}

async function post(address: string, token: string, json: unknown): Promise<unknown> {
  const answer = await fetch(address, {
    method: "POST",
    headers: {
      [protocolHeader]: String(protocolVersion),
      authorization: `Bearer ${token}`,
      "content-type": "application/json",
    },
    body: JSON.stringify(json),
  });
  if (!answer.ok) throw new Error(`${answer.status}: ${await answer.text()}`);
  return answer.json();
}

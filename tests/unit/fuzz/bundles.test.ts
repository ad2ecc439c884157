// Bundles that were changed: their bytes, their text, and, by somebody who holds a key of the run, their
// content and the entries in it. Each is read whole, or refused with its reason; a refused one changes nothing.

import { gunzipSync, gzipSync } from "node:zlib";
import { beforeAll, expect, test } from "vitest";
import { canonicalJson } from "../../../machines/base/canonical-json.ts";
import type { SeededRandom } from "../../../machines/base/seeded-random.ts";
import type { InjectId } from "../../../machines/procedure/ids.ts";
import { indexProcedure } from "../../../machines/procedure/procedure-index.ts";
import type { Entry, EntryBody } from "../../../machines/record/entry.ts";
import { foldRun } from "../../../machines/record/fold-run.ts";
import type { RunId } from "../../../machines/record/ids.ts";
import { orderEntries } from "../../../machines/record/order-entries.ts";
import type { Bundle } from "../../../machines/sync/bundle.ts";
import { sealText } from "../../../machines/sync/bundle.ts";
import { sha256Hex } from "../../../workers/keys/sha-256.ts";
import { signText } from "../../../workers/keys/sign-text.ts";
import { BundleRefusedError } from "../../../workers/link/bundle-refused-error.ts";
import { makeBundle } from "../../../workers/link/make-bundle.ts";
import { openBundle } from "../../../workers/link/open-bundle.ts";
import type { OpenedBundle } from "../../../workers/link/open-bundle.ts";
import { takeBundle } from "../../../workers/link/take-bundle.ts";
import { appendEntry } from "../../../workers/store/append-entry.ts";
import { createDatabase } from "../../../workers/store/database.ts";
import type { Database, Device } from "../../../workers/store/database.ts";
import { openRun } from "../../../workers/store/open-run.ts";
import { entriesOfRun } from "../../../workers/store/read-run.ts";
import { readDevice } from "../../../workers/store/this-device.ts";
import { writeProcedure } from "../../../workers/store/write-procedure.ts";
import { note } from "../../support/a-database.ts";
import { aProcedure } from "../../support/a-procedure.ts";
import { signedChain } from "./entries.ts";
import { mutateBytes, mutateJson, mutateText } from "./mutations.ts";
import { fuzzing, isReplay, playRounds } from "./rounds.ts";
import type { Outcomes } from "./rounds.ts";

const wallMs = 1_700_000_000_000;

type Made = {
  readonly run: RunId;
  readonly device: Device;
  readonly bytes: Uint8Array<ArrayBuffer>;
  readonly bundle: Bundle;
  readonly entries: readonly Entry[];
};

let made: Made;
let reader: Database;
let untouched: string;

beforeAll(async () => {
  const desk = createDatabase("fuzz-desk");
  const device = await readDevice(desk);
  const procedure = await writeProcedure(desk, aProcedure(), wallMs);
  const opening = { procedure, title: "Monday", recovery: null, wallMs };
  const { run } = await openRun(desk, { ...opening, device });
  for (const body of bodies()) {
    await appendEntry(desk, { run, device: device.device, position: null, body, wallMs });
  }
  const { bytes } = await makeBundle(desk, { run, readers: "everybody", wallMs });
  const bundle = JSON.parse(gunzipSync(bytes).toString()) as Bundle;
  made = { run, device, bytes, bundle, entries: await entriesOfRun(desk, run) };
  reader = createDatabase("fuzz-reader");
  await readDevice(reader);
  untouched = await dumpOf(reader);
});

function bodies(): readonly EntryBody[] {
  const steps = aProcedure().steps.slice(0, 3);
  return [
    { kind: "run.started" },
    note("one"),
    ...steps.map(({ id }): EntryBody => ({ kind: "step.started", step: id })),
    { kind: "hold.raised", scope: { covers: "everyone" }, reason: "Pause", inject: null },
    { kind: "inject.armed", inject: "glove" as InjectId, trigger: { byHand: true } },
  ];
}

test("[open-bundle 1] [gzip 1] a bundle's bytes, mutated", fuzzing, async () => {
  const outcomes = await playRounds("a bundle's bytes", 300, (random) =>
    check(mutateBytes(made.bytes, random)),
  );
  checkRefused(outcomes);
});

test("[open-bundle 1] [bundle 1] a bundle's text, mutated and packed again", fuzzing, async () => {
  const text = gunzipSync(made.bytes).toString();
  const outcomes = await playRounds("a bundle's text", 300, (random) =>
    check(gzipSync(mutateText(text, random))),
  );
  checkRefused(outcomes);
});

test(
  "[open-bundle 1] [bundle 1] a bundle's content, mutated and sealed again by its maker",
  fuzzing,
  async () => {
    const outcomes = await playRounds("a bundle's content", 200, async (random) => {
      const sealed = await sealAgain(mutateJson(made.bundle.content, random));
      return sealed === null ? "has no canonical form" : check(sealed);
    });
    checkRefused(outcomes);
  },
);

test(
  "[open-bundle 1] [pack 2] [take-bundle 1] the entries, mutated, chained and signed again by their device",
  fuzzing,
  async () => {
    const outcomes = await playRounds("a bundle's entries", 100, async (random) => {
      const segment = await signedChain(mutateBodies(random), made.device);
      if (segment === null) return "has no canonical form";
      const sealed = await sealAgain({ ...made.bundle.content, segments: [segment] });
      return sealed === null ? "has no canonical form" : check(sealed);
    });
    checkRefused(outcomes);
    if (!isReplay()) expect(outcomes["taken"] ?? 0).toBeGreaterThan(0);
  },
);

// Opens it, and takes what opens into a device of its own; what is refused leaves the reader as it was.
async function check(bytes: Uint8Array): Promise<string> {
  const opened = await openBundle(reader, new Uint8Array(bytes), null).catch(
    (cause: unknown) => cause,
  );
  expect(Reflect.get({}, "polluted")).toBeUndefined();
  expect(await dumpOf(reader)).toBe(untouched);
  if (!(opened instanceof Error)) return takeElsewhere(opened as OpenedBundle);
  if (!(opened instanceof BundleRefusedError)) throw opened;
  expect(opened.message).toMatch(/\S{2}/);
  expect(opened.mend).toMatch(/\S{2}/);
  expect(opened.faults.length).toBeGreaterThan(0);
  for (const { path, code } of opened.faults) {
    expect(path === "" || path.startsWith("/"), path).toBe(true);
    expect(code).toMatch(/^[a-z0-9-]+$/);
  }
  return "refused";
}

let databasesMade = 0;

async function takeElsewhere(opened: OpenedBundle): Promise<string> {
  databasesMade += 1;
  const database = createDatabase(`fuzz-taking-${databasesMade}`);
  // Seed 1857 of the content had its only segment twice.
  const count = new Set(opened.segments.flatMap(({ digests }) => digests)).size;
  const { added, setAside } = await takeBundle(database, opened, wallMs);
  expect(added + setAside).toBe(count);
  expect((await takeBundle(database, opened, wallMs)).added).toBe(0);
  const held = await entriesOfRun(database, opened.content.run);
  const { ordered } = orderEntries(held);
  canonicalJson(foldRun(indexProcedure(opened.procedure), ordered));
  await database.delete();
  return "taken";
}

function mutateBodies(random: SeededRandom): readonly Entry[] {
  const at = random.nextBelow(made.entries.length);
  return made.entries.map((entry, place) => {
    if (place !== at) return entry;
    const { body, wallMs: stamp, seen, position } = entry;
    const mutable = random.nextBelow(3) === 0 ? { body, wallMs: stamp, seen, position } : { body };
    return { ...entry, ...(mutateJson(mutable, random) as Partial<Entry>) };
  });
}

async function sealAgain(content: unknown): Promise<Uint8Array | null> {
  const text = textOrNull(content);
  if (text === null) return null;
  const digest = sha256Hex(text);
  const { run, device } = { run: made.run, device: made.device };
  const signed = sealText(run, device.device, digest);
  const signature = await signText(device.privateKey, signed);
  const seal = canonicalJson({ digest, key: device.publicKey, signature });
  return gzipSync(`{"content":${text},"seal":${seal}}`);
}

function textOrNull(value: unknown): string | null {
  try {
    return canonicalJson(value);
  } catch {
    return null;
  }
}

async function dumpOf(database: Database): Promise<string> {
  const rows = await Promise.all(database.tables.map((table) => table.toArray()));
  return JSON.stringify(rows);
}

function checkRefused(outcomes: Outcomes): void {
  if (!isReplay()) expect(outcomes["refused"] ?? 0).toBeGreaterThan(0);
}

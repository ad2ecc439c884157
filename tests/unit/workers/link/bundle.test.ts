// Bundles: made on one device, read on another, with no hub at all.

import * as fc from "fast-check";
import { gunzipSync, gzipSync } from "node:zlib";
import { beforeAll, expect, test } from "vitest";
import { canonicalJson } from "../../../../machines/base/canonical-json.ts";
import type { InjectId } from "../../../../machines/procedure/ids.ts";
import type { EntryBody, Role } from "../../../../machines/record/entry.ts";
import type { RunId } from "../../../../machines/record/ids.ts";
import type { Bundle } from "../../../../machines/sync/bundle.ts";
import { sealText } from "../../../../machines/sync/bundle.ts";
import { sha256Hex } from "../../../../workers/keys/sha-256.ts";
import { signText } from "../../../../workers/keys/sign-text.ts";
import { BundleRefusedError } from "../../../../workers/link/bundle-refused-error.ts";
import { makeBundle } from "../../../../workers/link/make-bundle.ts";
import { openBundle } from "../../../../workers/link/open-bundle.ts";
import { takeBundle } from "../../../../workers/link/take-bundle.ts";
import { appendEntry } from "../../../../workers/store/append-entry.ts";
import type { Database, Device } from "../../../../workers/store/database.ts";
import { openRun } from "../../../../workers/store/open-run.ts";
import { entriesOfRun } from "../../../../workers/store/read-run.ts";
import { readDevice } from "../../../../workers/store/this-device.ts";
import { writeProcedure } from "../../../../workers/store/write-procedure.ts";
import { aDatabase, ev1, note } from "../../../support/a-database.ts";
import { aProcedure } from "../../../support/a-procedure.ts";

const wallMs = 1_700_000_000_000;
const inject = "glove-leak" as InjectId;

type Tablet = { readonly database: Database; readonly device: Device };

async function aTablet(): Promise<Tablet> {
  const database = aDatabase();
  return { database, device: await readDevice(database) };
}

async function aDesk(): Promise<Tablet & { readonly run: RunId }> {
  const desk = await aTablet();
  const procedure = await writeProcedure(desk.database, aProcedure(), wallMs);
  const opening = { procedure, title: "Monday", recovery: null, wallMs };
  const { run } = await openRun(desk.database, { ...opening, device: desk.device });
  return { ...desk, run };
}

async function tap({ database, device }: Tablet, run: RunId, body: EntryBody): Promise<void> {
  await appendEntry(database, { run, device: device.device, position: null, body, wallMs });
}

async function letIn(desk: Tablet, run: RunId, tablet: Tablet, role: Role): Promise<void> {
  const { device: joined, name: deviceName } = tablet.device;
  await tap(desk, run, { kind: "device.joined", joined, role, lane: ev1, deviceName });
}

async function carry(
  from: Tablet,
  to: Tablet,
  run: RunId,
  readers: Bundle["content"]["readers"] = "everybody",
) {
  const { bytes } = await makeBundle(from.database, { run, readers, wallMs });
  const opened = await openBundle(to.database, bytes, null);
  return takeBundle(to.database, opened, wallMs);
}

test("[make-bundle 1] [take-bundle 1] [take-bundle 2] a record goes from device to device and back, and twice changes nothing", async () => {
  const desk = await aDesk();
  const tablet = await aTablet();
  const { run } = desk;
  await letIn(desk, run, tablet, "crew");
  expect(await carry(desk, tablet, run)).toMatchObject({ added: 2, setAside: 0 });
  expect(await tablet.database.runs.get(run)).toMatchObject({
    role: "crew",
    lane: ev1,
    token: null,
  });
  await tap(tablet, run, note("from the tablet"));
  expect(await carry(tablet, desk, run)).toMatchObject({ added: 1 });
  expect(await carry(tablet, desk, run)).toMatchObject({ added: 0, replaced: 0, setAside: 0 });
  expect(await entriesOfRun(desk.database, run)).toEqual(await entriesOfRun(tablet.database, run));
});

test("[make-bundle 1] what a device has signed goes on by way of others", async () => {
  const desk = await aDesk();
  const [first, second] = [await aTablet(), await aTablet()];
  const { run } = desk;
  await letIn(desk, run, first, "crew");
  await letIn(desk, run, second, "support");
  await carry(desk, first, run);
  await tap(first, run, note("signed at the first hand-over"));
  await carry(first, second, run);
  await carry(second, desk, run);
  expect(await entriesOfRun(desk.database, run)).toEqual(await entriesOfRun(first.database, run));
});

test("[make-bundle 2] [bundle 2] a bundle for everybody holds nothing of an inject before it is live", async () => {
  const desk = await aDesk();
  const tablet = await aTablet();
  const { run } = desk;
  await letIn(desk, run, tablet, "crew");
  await tap(desk, run, { kind: "inject.armed", inject, trigger: { byHand: true } });
  await tap(desk, run, note("after it"));
  const { bytes } = await makeBundle(desk.database, { run, readers: "everybody", wallMs });
  const text = gunzipSync(bytes).toString();
  expect(text).not.toContain(inject);
  expect(text).not.toContain("inject.armed");
  await carry(desk, tablet, run);
  expect(JSON.stringify(await entriesOfRun(tablet.database, run))).not.toContain(inject);
  await tap(desk, run, { kind: "run.closed" });
  expect(await carry(desk, tablet, run)).toMatchObject({ added: 1, replaced: 1 });
  expect(await entriesOfRun(tablet.database, run)).toEqual(await entriesOfRun(desk.database, run));
});

test("[make-bundle 2] a director gets everything", async () => {
  const desk = await aDesk();
  const second = await aTablet();
  const { run } = desk;
  await letIn(desk, run, second, "director");
  await tap(desk, run, { kind: "inject.armed", inject, trigger: { byHand: true } });
  await carry(desk, second, run, "directors");
  expect(await entriesOfRun(second.database, run)).toEqual(await entriesOfRun(desk.database, run));
});

test("[open-bundle 3] a bundle for directors is refused where no director is, and nothing of it is kept", async () => {
  const desk = await aDesk();
  const tablet = await aTablet();
  const { run } = desk;
  await letIn(desk, run, tablet, "crew");
  await tap(desk, run, { kind: "inject.armed", inject, trigger: { byHand: true } });
  for (const reader of [tablet, await aTablet()]) {
    const cause: unknown = await carry(desk, reader, run, "directors").catch(
      (error: unknown) => error,
    );
    expect(cause).toMatchObject({ faults: [{ code: "bundle-for-directors" }] });
    expect(await reader.database.entries.count()).toBe(0);
    expect(await reader.database.runs.count()).toBe(0);
  }
});

test("[take-bundle 3] who came to know a run by a bundle has the role that a later one gives", async () => {
  const desk = await aDesk();
  const tablet = await aTablet();
  const { run } = desk;
  await carry(desk, tablet, run);
  expect(await tablet.database.runs.get(run)).toMatchObject({ role: "observer", lane: null });
  await letIn(desk, run, tablet, "crew");
  await carry(desk, tablet, run);
  expect(await tablet.database.runs.get(run)).toMatchObject({ role: "crew", lane: ev1 });
  const struckOff = tablet.device.device;
  await tap(desk, run, { kind: "device.struck-off", struckOff, reason: "Lost" });
  await carry(desk, tablet, run);
  expect(await tablet.database.runs.get(run)).toMatchObject({ role: "observer", lane: null });
});

let whole: { readonly bytes: Uint8Array<ArrayBuffer>; readonly desk: Tablet & { run: RunId } };

beforeAll(async () => {
  const desk = await aDesk();
  await tap(desk, desk.run, note("one"));
  const { bytes } = await makeBundle(desk.database, {
    run: desk.run,
    readers: "everybody",
    wallMs,
  });
  whole = { bytes, desk };
});

async function refusal(bytes: Uint8Array, into: RunId | null = null) {
  const { database } = await aTablet();
  const before = await database.entries.count();
  const cause: unknown = await openBundle(database, new Uint8Array(bytes), into).catch(
    (error: unknown) => error,
  );
  expect(cause).toBeInstanceOf(BundleRefusedError);
  expect(await database.entries.count()).toBe(before);
  return (cause as BundleRefusedError).faults[0]?.code;
}

test("[open-bundle 1] a file that was cut anywhere is refused", async () => {
  for (const part of [0, 1, 9, 40, 0.5, 0.9, 0.99, 1]) {
    const end = part < 1 ? Math.floor(whole.bytes.length * part) : part;
    const cut = part === 1 ? whole.bytes.slice(0, -1) : whole.bytes.slice(0, end);
    expect(await refusal(cut)).toBe("not-whole");
  }
});

test("[open-bundle 1] a file of which any byte was changed is refused", async () => {
  await fc.assert(
    fc.asyncProperty(
      fc.nat(whole.bytes.length - 1),
      fc.integer({ min: 1, max: 255 }),
      async (at, by) => {
        const changed = whole.bytes.slice();
        changed[at] = (changed[at] ?? 0) ^ by;
        const { database } = await aTablet();
        const opened = await openBundle(database, changed, null).catch((error: unknown) => error);
        // Some bytes of gzip's own head say nothing of the content.
        if (opened instanceof Error) expect(opened).toBeInstanceOf(BundleRefusedError);
        else expect(opened).toMatchObject({ content: { run: whole.desk.run } });
      },
    ),
    { numRuns: 150 },
  );
});

// A bundle that was changed by somebody who can write a seal of their own.
async function resealed(change: (bundle: Bundle) => object, by: Tablet): Promise<Uint8Array> {
  const bundle = JSON.parse(gunzipSync(whole.bytes).toString()) as Bundle;
  const content = { ...bundle.content, ...change(bundle) } as Bundle["content"];
  const digest = sha256Hex(canonicalJson(content));
  const signature = await signText(
    by.device.privateKey,
    sealText(content.run, content.madeBy, digest),
  );
  const seal = { digest, key: by.device.publicKey, signature };
  return gzipSync(canonicalJson({ content, seal }));
}

test("[open-bundle 1] [open-bundle 2] [bundle 1] [bundle 3] what is forged, foreign or of another form is refused with its reason", async () => {
  const stranger = await aTablet();
  const madeBy = stranger.device.device;
  const { desk } = whole;
  const foreign = { segments: [] };
  const cases = [
    [await resealed(() => ({}), stranger), "seal-forged"],
    [await resealed(() => ({ madeBy }), stranger), "bundle-foreign"],
    [await resealed(() => foreign, desk), "bundle-foreign"],
    [await resealed(() => ({ formatVersion: 9 }), desk), "format-version"],
    [await resealed(() => ({ format: "other" }), desk), "not-a-bundle"],
    [await resealed(() => ({ injectScript: {} }), desk), "not-for-everybody"],
    [
      await resealed(() => ({ procedure: { ...aProcedure(), title: "Another" } }), desk),
      "another-procedure",
    ],
    [gzipSync("no JSON"), "not-a-bundle"],
    [gzipSync(`${"[".repeat(200_000)}${"]".repeat(200_000)}`), "not-a-bundle"],
    [new TextEncoder().encode("no gzip"), "not-whole"],
  ] as const;
  for (const [bytes, code] of cases) expect(await refusal(bytes), code).toBe(code);
  expect(await refusal(whole.bytes, "other.run" as RunId)).toBe("another-run");
});

test("[open-bundle 1] [bundle 1] what has no canonical form is refused: found by mutated bundles", async () => {
  const text = gunzipSync(whole.bytes).toString();
  for (const odd of ['"\\ud800"', "1e999"]) {
    const changed = text.replace('"procedure":{', `"procedure":{"a":${odd},`);
    expect(changed).not.toBe(text);
    expect(await refusal(gzipSync(changed)), odd).toBe("bundle-damaged");
  }
});

test("[open-bundle 1] entries that their device has not signed are refused with the whole bundle", async () => {
  const stranger = await aTablet();
  const bytes = await resealed(({ content }) => {
    const [first] = content.segments as { head: object }[];
    const { publicKey: key, device } = stranger.device;
    return { segments: [{ ...first, head: { ...first?.head, key, device } }] };
  }, whole.desk);
  expect(["broken-chain", "segment-forged"]).toContain(await refusal(bytes));
  const signature = "A".repeat(86);
  const unsigned = await resealed(({ content }) => {
    const [first] = content.segments as { head: object }[];
    return { segments: [{ ...first, head: { ...first?.head, signature } }] };
  }, whole.desk);
  expect(await refusal(unsigned)).toBe("segment-forged");
});

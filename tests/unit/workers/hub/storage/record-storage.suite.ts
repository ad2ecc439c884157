// What every storage of the hub must keep; run by memory-, sqlite- and postgres-storage.test.ts

import { afterEach, expect, test } from "vitest";
import type { Identity } from "../../../../../machines/procedure/ids.ts";
import type { DeviceId, RunId } from "../../../../../machines/record/ids.ts";
import type { RecordStorage } from "../../../../../workers/hub/storage/record-storage.ts";
import { chain, endOf, incoming, note } from "../incoming-entries.ts";
import {
  director,
  invitation,
  joining,
  opening,
  procedure,
  run,
  tablet,
  withRun,
} from "./a-stored-run.ts";
import { checkSegments } from "./segments.suite.ts";

const joined = {
  run,
  title: "Monday",
  procedure: procedure.identity,
  role: "crew",
  lane: "ev1",
};
const spare = "spare-1" as DeviceId;

/** Opens an empty storage. */
export type OpenStorage = () => Promise<RecordStorage>;

/** Runs the suite on the storages that `open` makes. */
export function checkRecordStorage(open: OpenStorage): void {
  const opened: RecordStorage[] = [];
  afterEach(async () => {
    for (const storage of opened.splice(0)) await storage.close();
  });

  async function emptyStorage(): Promise<RecordStorage> {
    const storage = await open();
    opened.push(storage);
    return storage;
  }

  checkDocuments(emptyStorage);
  checkOpening(emptyStorage);
  checkJoining(emptyStorage);
  checkRecovery(emptyStorage);
  checkStrikingOff(emptyStorage);
  checkSegments(emptyStorage);

  test("[storage 12] two storages have two epochs", async () => {
    const epochs = [(await emptyStorage()).epoch, (await emptyStorage()).epoch];
    expect(new Set(epochs).size).toBe(2);
    expect(epochs.every((epoch) => epoch.length >= 16)).toBe(true);
  });
}

function checkDocuments(emptyStorage: OpenStorage): void {
  test("[storage 1] procedures and scripts come back as they were put, the newest first", async () => {
    const storage = await emptyStorage();
    const second = { ...procedure, identity: "b".repeat(64) as Identity, revision: "B" };
    await storage.putProcedure(procedure);
    await storage.putProcedure(second);
    await storage.putProcedure({ ...procedure, title: "put again" });
    const listed = await storage.listProcedures();
    expect(listed.map(({ revision, title }) => [revision, title])).toEqual([
      ["B", "Procedure one"],
      ["A", "Procedure one"],
    ]);
    expect(await storage.readProcedureText(procedure.identity)).toBe(procedure.text);
    expect(await storage.readProcedureText("c".repeat(64) as Identity)).toBeNull();
    const script = { identity: "d".repeat(64) as Identity, procedureId: "p1", text: "{}" };
    const newer = { ...script, identity: "e".repeat(64) as Identity };
    await storage.putInjectScript(script);
    await storage.putInjectScript(newer);
    expect(await storage.readInjectScript("p1")).toEqual(newer);
    expect(await storage.readInjectScript("p2")).toBeNull();
  });
}

function checkOpening(emptyStorage: OpenStorage): void {
  test("[storage 11] a run is opened once, by one device with one token", async () => {
    const storage = await emptyStorage();
    expect(await storage.openRun(opening)).toBe("procedure-unknown");
    expect(await storage.readRun(run)).toBeNull();
    await storage.putProcedure(procedure);
    expect(await storage.openRun(opening)).toBe("opened");
    expect(await storage.openRun({ ...opening, nowMs: 9_000 })).toBe("opened");
    for (const other of [
      { device: tablet },
      { tokenDigest: "another" },
      { title: "Tuesday" },
      { procedure: "b".repeat(64) as Identity },
    ]) {
      expect(await storage.openRun({ ...opening, ...other })).toBe("run-taken");
    }
    const { title } = opening;
    expect(await storage.readRun(run)).toEqual({
      run,
      title,
      procedure: procedure.identity,
      procedureId: "p1",
      isClosed: false,
    });
    expect(await storage.count()).toEqual({ runs: 1, devices: 1, entries: 0, setAside: 0 });
  });

  test("[storage 11] of two openings at once that differ, one is refused", async () => {
    const storage = await emptyStorage();
    await storage.putProcedure(procedure);
    const titles = Array.from({ length: 8 }, (_, index) => `title ${index}`);
    const outcomes = await Promise.all(
      titles.map((title) => storage.openRun({ ...opening, title })),
    );
    expect(outcomes.toSorted()).toEqual(["opened", ...Array<string>(7).fill("run-taken")]);
  });

  test("[storage 10] a device is found by its token's digest, in its own run only", async () => {
    const storage = await withRun(emptyStorage());
    await storage.openRun({ ...opening, run: "run-2" as RunId, tokenDigest: "other" });
    const found = await storage.hearDevice(run, opening.tokenDigest, 7_000);
    const desk = {
      run,
      device: director,
      role: "director",
      lane: null,
      deviceName: "Desk",
      isStruckOff: false,
    };
    expect(found).toEqual(desk);
    expect(await storage.readDevice(run, director)).toEqual(desk);
    expect(await storage.readDevice(run, "nobody" as DeviceId)).toBeNull();
    expect(await storage.hearDevice("run-2" as RunId, opening.tokenDigest, 7_000)).toBeNull();
    expect(await storage.hearDevice(run, "nobody's", 7_000)).toBeNull();
    expect(await storage.readLastHeardMs(run)).toEqual({ [director]: 7_000, [tablet]: 2_000 });
    await storage.hearDevice(run, opening.tokenDigest, 6_000);
    expect(await storage.readLastHeardMs(run)).toEqual({ [director]: 7_000, [tablet]: 2_000 });
  });
}

function checkJoining(emptyStorage: OpenStorage): void {
  test("[storage 9] a code lets one device in, once, and answers it again", async () => {
    const storage = await withRun(emptyStorage());
    expect(await storage.join(joining)).toEqual(joined);
    expect(await storage.join({ ...joining, nowMs: 99_000 })).toEqual(joined);
    expect(await storage.join({ ...joining, tokenDigest: "another" })).toBe("device-taken");
    expect(await storage.join({ ...joining, device: "tablet-2" as DeviceId })).toBe("code-used");
    expect(await storage.join({ ...joining, codeDigest: "another" })).toBe("code-unknown");
    expect(await storage.count()).toMatchObject({ devices: 2 });
  });

  test("[storage 9] a code is refused once it expired, and to a device that is in", async () => {
    const storage = await withRun(emptyStorage());
    expect(await storage.invite(invitation)).toBe(false);
    const second = { ...invitation, codeDigest: "second", role: "reader" as const };
    expect(await storage.invite(second)).toBe(true);
    const again = { ...joining, codeDigest: "second" };
    expect(await storage.join(again)).toBe("device-already-in");
    const other = { ...again, device: "tablet-2" as DeviceId, tokenDigest: "third token" };
    expect(await storage.join({ ...other, nowMs: 5_000 })).toBe("code-expired");
    expect(await storage.join({ ...other, tokenDigest: joining.tokenDigest })).toBe("device-taken");
    expect(await storage.join(other)).toMatchObject({ role: "reader" });
  });

  test("[storage 9] of many devices with one code at once, one gets in", async () => {
    const storage = await withRun(emptyStorage());
    await storage.invite({ ...invitation, codeDigest: "wanted" });
    const answers = await Promise.all(
      Array.from({ length: 20 }, (_, index) =>
        storage.join({
          ...joining,
          codeDigest: "wanted",
          device: `rival-${index}` as DeviceId,
          tokenDigest: `token ${index}`,
        }),
      ),
    );
    expect(answers.filter((answer) => typeof answer === "object")).toHaveLength(1);
    expect(answers.filter((answer) => answer === "code-used")).toHaveLength(19);
    expect(await storage.count()).toMatchObject({ devices: 3 });
  });

  test("[storage 9] who was let in waits to be named by a director", async () => {
    const storage = await withRun(emptyStorage());
    const admission = { device: tablet, deviceName: "Tablet", role: "crew", lane: "ev1" };
    expect(await storage.readAdmissions(run)).toEqual([admission]);
    await storage.takeSegment(incoming(chain({ run, device: director }, [naming])), 3_000);
    expect(await storage.readAdmissions(run)).toEqual([]);
  });
}

function checkRecovery(emptyStorage: OpenStorage): void {
  const withCode = { ...joining, codeDigest: "digest of the recovery code", device: spare };

  test("[storage 9] the recovery key is a director's, and comes in by its code at any time, once", async () => {
    const storage = await withRun(emptyStorage());
    const known = { role: "director", lane: null, isStruckOff: false };
    expect(await storage.readDevice(run, spare)).toMatchObject(known);
    expect(await storage.count()).toMatchObject({ devices: 2 });
    expect(Object.keys(await storage.readLastHeardMs(run))).not.toContain(spare);
    const late = { ...withCode, tokenDigest: "the spare's token", nowMs: 9_000_000_000_000 };
    expect(await storage.join(late)).toMatchObject({ role: "director", lane: null });
    expect(await storage.join(late)).toMatchObject({ role: "director", lane: null });
    expect(await storage.hearDevice(run, "the spare's token", 3_000)).toMatchObject(known);
    const another = { ...late, device: "tablet-9" as DeviceId, tokenDigest: "ninth token" };
    expect(await storage.join(another)).toBe("code-used");
    const waiting = (await storage.readAdmissions(run)).map(({ device }) => device);
    expect(waiting).toEqual([tablet]);
  });

  test("[storage 9] another's code makes the recovery key nothing less than a director", async () => {
    const storage = await withRun(emptyStorage());
    await storage.invite({ ...invitation, codeDigest: "second" });
    const asCrew = { ...withCode, codeDigest: "second", tokenDigest: "the spare's token" };
    expect(await storage.join(asCrew)).toBe("device-already-in");
    expect(await storage.readDevice(run, spare)).toMatchObject({ role: "director" });
  });
}

const naming = {
  kind: "device.joined",
  joined: tablet,
  role: "crew",
  lane: null,
  deviceName: "Tablet",
} as const;
const striking = { kind: "device.struck-off", struckOff: tablet, reason: "lost" } as const;

function checkStrikingOff(emptyStorage: OpenStorage): void {
  test("[storage 13] a device that was struck off stays so until it is joined again", async () => {
    const storage = await withRun(emptyStorage());
    const isStruckOff = async () => {
      const heard = await storage.hearDevice(run, joining.tokenDigest, 4_000);
      const read = await storage.readDevice(run, tablet);
      expect(read).toEqual(heard);
      return heard?.isStruckOff;
    };
    const first = chain({ run, device: director }, [naming, note("on"), striking]);
    await storage.takeSegment(incoming(first.slice(0, 2)), 3_000);
    expect(await isStruckOff()).toBe(false);
    await storage.takeSegment(incoming(first.slice(2)), 3_000);
    expect(await isStruckOff()).toBe(true);
    const then = chain({ run, device: director }, [note("on"), naming], endOf(first));
    await storage.takeSegment(incoming(then), 3_000);
    expect(await isStruckOff()).toBe(false);
    const both = chain({ run, device: director }, [naming, striking], endOf(then));
    await storage.takeSegment(incoming(both), 3_000);
    expect(await isStruckOff()).toBe(true);
  });

  test("[storage 16] a fresh code lets a struck-off device wait to be named, an old one does not", async () => {
    const storage = await withRun(emptyStorage());
    const first = chain({ run, device: director }, [naming, striking]);
    await storage.takeSegment(incoming(first), 3_000);
    expect(await storage.join(joining)).toEqual(joined);
    expect(await storage.readAdmissions(run)).toEqual([]);
    await storage.invite({ ...invitation, codeDigest: "fresh", role: "reader", lane: null });
    const back = { ...joining, codeDigest: "fresh" };
    expect(await storage.join({ ...back, nowMs: 5_000 })).toBe("code-expired");
    expect(await storage.join({ ...back, tokenDigest: "another" })).toBe("device-taken");
    expect(await storage.join(back)).toMatchObject({ role: "reader", lane: null });
    expect(await storage.readDevice(run, tablet)).toMatchObject({ isStruckOff: true });
    expect(await storage.readAdmissions(run)).toMatchObject([{ device: tablet, role: "reader" }]);
    const again = chain({ run, device: director }, [naming], endOf(first));
    await storage.takeSegment(incoming(again), 3_000);
    expect(await storage.readAdmissions(run)).toEqual([]);
    expect(await storage.readDevice(run, tablet)).toMatchObject({
      isStruckOff: false,
      role: "reader",
    });
  });
}

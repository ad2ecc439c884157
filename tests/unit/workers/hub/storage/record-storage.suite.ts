// What every storage of the hub must keep; run by sqlite-storage.test.ts and memory-storage.test.ts

import * as fc from "fast-check";
import { afterEach, expect, test } from "vitest";
import type { Identity, InjectId, PositionId } from "../../../../../machines/procedure/ids.ts";
import type { DeviceId, RunId } from "../../../../../machines/record/ids.ts";
import type {
  Invitation,
  Joining,
  ListedEntry,
  RecordStorage,
  RunOpening,
  StoredProcedure,
} from "../../../../../workers/hub/storage/record-storage.ts";
import { arming, chain, endOf, incoming, note, notes } from "../incoming-entries.ts";

const run = "run-1" as RunId;
const director = "director-1" as DeviceId;
const tablet = "tablet-1" as DeviceId;
const procedure: StoredProcedure = {
  identity: "a".repeat(64) as Identity,
  id: "p1",
  title: "Procedure one",
  revision: "A",
  summary: "",
  text: '{"id":"p1"}',
};
const opening: RunOpening = {
  run,
  title: "Monday",
  procedure: procedure.identity,
  device: director,
  deviceName: "Desk",
  tokenDigest: "digest of the director's token",
  nowMs: 1_000,
};
const invitation: Invitation = {
  codeDigest: "digest of the code",
  run,
  role: "crew",
  lane: "ev1" as PositionId,
  expiresAtMs: 5_000,
};
const joining: Joining = {
  codeDigest: invitation.codeDigest,
  device: tablet,
  deviceName: "Tablet",
  tokenDigest: "digest of the tablet's token",
  nowMs: 2_000,
};
const joined = {
  run,
  title: "Monday",
  procedure: procedure.identity,
  role: "crew",
  lane: "ev1",
};
const byDirector = { run, device: director, nowMs: 3_000 };
const byTablet = { run, device: tablet, nowMs: 3_000 };

/** Runs the suite on the storages that `open` makes. */
export function checkRecordStorage(open: () => Promise<RecordStorage>): void {
  const opened: RecordStorage[] = [];
  afterEach(async () => {
    for (const storage of opened.splice(0)) await storage.close();
  });

  async function emptyStorage(): Promise<RecordStorage> {
    const storage = await open();
    opened.push(storage);
    return storage;
  }

  async function storageWithRun(): Promise<RecordStorage> {
    const storage = await emptyStorage();
    await storage.putProcedure(procedure);
    await storage.openRun(opening);
    await storage.invite(invitation);
    await storage.join(joining);
    return storage;
  }

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

  test("[storage 10] a device is found by its token's digest, in its own run only", async () => {
    const storage = await storageWithRun();
    await storage.openRun({ ...opening, run: "run-2" as RunId, tokenDigest: "other" });
    const found = await storage.hearDevice(run, opening.tokenDigest, 7_000);
    expect(found).toEqual({
      run,
      device: director,
      role: "director",
      lane: null,
      deviceName: "Desk",
    });
    expect(await storage.hearDevice("run-2" as RunId, opening.tokenDigest, 7_000)).toBeNull();
    expect(await storage.hearDevice(run, "nobody's", 7_000)).toBeNull();
    expect(await storage.readLastHeardMs(run)).toEqual({ [director]: 7_000, [tablet]: 2_000 });
    await storage.hearDevice(run, opening.tokenDigest, 6_000);
    expect(await storage.readLastHeardMs(run)).toEqual({ [director]: 7_000, [tablet]: 2_000 });
  });

  test("[storage 9] a code lets one device in, once, and answers it again", async () => {
    const storage = await storageWithRun();
    expect(await storage.join(joining)).toEqual(joined);
    expect(await storage.join({ ...joining, nowMs: 99_000 })).toEqual(joined);
    expect(await storage.join({ ...joining, tokenDigest: "another" })).toBe("device-taken");
    expect(await storage.join({ ...joining, device: "tablet-2" as DeviceId })).toBe("code-used");
    expect(await storage.join({ ...joining, codeDigest: "another" })).toBe("code-unknown");
    expect(await storage.count()).toMatchObject({ devices: 2 });
  });

  test("[storage 9] a code is refused once it expired, and to a device that is in", async () => {
    const storage = await storageWithRun();
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
    const storage = await storageWithRun();
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
    expect(await storage.count()).toMatchObject({ devices: 3 });
  });

  test("[storage 9] who was let in waits to be named by a director", async () => {
    const storage = await storageWithRun();
    const admission = { device: tablet, deviceName: "Tablet", role: "crew", lane: "ev1" };
    expect(await storage.readAdmissions(run)).toEqual([admission]);
    const naming = chain({ run, device: director }, [
      {
        kind: "device.joined",
        joined: tablet,
        role: "crew",
        lane: "ev1" as PositionId,
        deviceName: "Tablet",
      },
    ]);
    await storage.takeEntries(incoming(naming), byDirector);
    expect(await storage.readAdmissions(run)).toEqual([]);
  });

  test("[storage 5] entries taken again change nothing", async () => {
    const storage = await storageWithRun();
    const entries = incoming(chain({ run, device: tablet }, notes(5)));
    const taken = await storage.takeEntries(entries, byTablet);
    expect(taken).toEqual({ taken: 5, setAside: 0, refused: null });
    const before = await storage.readEntries(run, 0, 100);
    const again = await storage.takeEntries(entries, byTablet);
    expect(again).toEqual({ taken: 0, setAside: 0, refused: null });
    expect(await storage.readEntries(run, 0, 100)).toEqual(before);
    expect(before.listed.map(({ entry }) => entry)).toEqual(entries.map(({ entry }) => entry));
    expect(await storage.readHave(run)).toEqual({ [tablet]: 5 });
  });

  test("[storage 7] a gap refuses what follows it, and keeps nothing of that", async () => {
    const storage = await storageWithRun();
    const [one, two, three, four, five] = incoming(chain({ run, device: tablet }, notes(5)));
    const withGap = [one, two, four, five].flatMap((entry) => entry ?? []);
    const result = await storage.takeEntries(withGap, byTablet);
    expect(result).toEqual({ taken: 2, setAside: 0, refused: { seq: 4, code: "gap" } });
    expect(await storage.readHave(run)).toEqual({ [tablet]: 2 });
    expect(await storage.readSetAside(run)).toEqual([]);
    const rest = [three, four, five].flatMap((entry) => entry ?? []);
    expect(await storage.takeEntries(rest, byTablet)).toMatchObject({ taken: 3, refused: null });
  });

  test("[storage 6] a fork is set aside with what follows, once, and not listed", async () => {
    const storage = await storageWithRun();
    const entries = chain({ run, device: tablet }, notes(3));
    await storage.takeEntries(incoming(entries), byTablet);
    const start = endOf(entries.slice(0, 1));
    const forked = chain({ run, device: tablet }, [note("otherwise"), note("on it")], start);
    const result = await storage.takeEntries(incoming(forked), byTablet);
    expect(result).toEqual({ taken: 0, setAside: 2, refused: { seq: 2, code: "fork" } });
    expect(await storage.takeEntries(incoming(forked), byTablet)).toMatchObject({ setAside: 0 });
    const aside = await storage.readSetAside(run);
    expect(aside.map(({ seq, code, text }) => [seq, code, text])).toEqual(
      incoming(forked).map(({ entry, text }) => [entry.seq, "fork", text]),
    );
    const { listed } = await storage.readEntries(run, 0, 100);
    expect(listed.map(({ entry }) => entry)).toEqual(entries);
  });

  test("[storage 4] an entry that does not follow on the one before is set aside", async () => {
    const storage = await storageWithRun();
    const entries = chain({ run, device: tablet }, notes(2));
    const stray = chain({ run, device: tablet }, [note("stray")], {
      seq: 2,
      digest: "0".repeat(64),
    });
    const both = incoming([...entries, ...stray]);
    const result = await storage.takeEntries(both, byTablet);
    expect(result).toEqual({ taken: 2, setAside: 1, refused: { seq: 3, code: "chain" } });
    expect(await storage.readHave(run)).toEqual({ [tablet]: 2 });
    const right = chain({ run, device: tablet }, [note("right")], endOf(entries));
    expect(await storage.takeEntries(incoming(right), byTablet)).toMatchObject({ taken: 1 });
  });

  test("[storage 8] closing lists what was for directors only once more, after it", async () => {
    const storage = await storageWithRun();
    const entries = chain({ run, device: director }, [
      note("before"),
      arming("glove"),
      note("between"),
      { kind: "run.closed" },
      note("after"),
      arming("late"),
      { kind: "run.closed" },
    ]);
    await storage.takeEntries(incoming(entries), byDirector);
    const { listed, head } = await storage.readEntries(run, 0, 100);
    expect(listed.map(({ entry }) => entry.seq)).toEqual([1, 2, 3, 4, 2, 5, 6, 7]);
    expect(listed.map(({ place }) => place)).toEqual([1, 2, 3, 4, 5, 6, 7, 8]);
    expect(head).toBe(8);
    expect(await storage.readRun(run)).toMatchObject({ isClosed: true });
    expect(await storage.isDirectorOnly(run, { device: director, seq: 2 })).toBe(true);
    expect(await storage.isDirectorOnly(run, { device: director, seq: 3 })).toBe(false);
    expect(await storage.isDirectorOnly(run, { device: director, seq: 99 })).toBeUndefined();
  });

  test("[storage 8] injects that were fired are known", async () => {
    const storage = await storageWithRun();
    const inject = "glove" as InjectId;
    const entries = chain({ run, device: director }, [
      { kind: "inject.fired", inject, name: "Glove", card: "A cut", shownTo: [] },
    ]);
    expect(await storage.readFiredInjects(run)).toEqual(new Set());
    await storage.takeEntries(incoming(entries), byDirector);
    expect(await storage.readFiredInjects(run)).toEqual(new Set([inject]));
  });

  test("[storage 2] a call that fails takes nothing at all", async () => {
    const storage = await storageWithRun();
    const good = chain({ run, device: tablet }, notes(2));
    const foreign = chain({ run: "run-9" as RunId, device: tablet }, [note("x")], endOf(good));
    const call = storage.takeEntries(incoming([...good, ...foreign]), byTablet);
    await expect(call).rejects.toThrow("of the run of the call");
    expect(await storage.readHave(run)).toEqual({});
    expect(await storage.readHead(run)).toBe(0);
  });

  test("[storage 3] whoever follows by place, amid many writers, gets all and in one order", async () => {
    const storage = await storageWithRun();
    await fc.assert(
      fc.asyncProperty(
        fc.array(fc.tuple(fc.nat(3), fc.integer({ min: 1, max: 4 })), { maxLength: 40 }),
        fc.uuid(),
        async (pushes, salt) => {
          const followed = await pushAndFollow(storage, pushes, salt);
          const places = followed.map(({ place }) => place);
          expect(places).toEqual(places.map((_, index) => index + 1));
          const total = pushes.reduce((sum, [, count]) => sum + count, 0);
          expect(followed).toHaveLength(total);
        },
      ),
      { numRuns: 8 },
    );
  });

  test("[storage 12] two storages have two epochs", async () => {
    const epochs = [(await emptyStorage()).epoch, (await emptyStorage()).epoch];
    expect(new Set(epochs).size).toBe(2);
    expect(epochs.every((epoch) => epoch.length >= 16)).toBe(true);
  });
}

/** Four devices write in turns of their own while one follower reads by place. */
async function pushAndFollow(
  storage: RecordStorage,
  pushes: readonly (readonly [device: number, count: number])[],
  salt: string,
): Promise<readonly ListedEntry[]> {
  const freshRun = `run-${salt}` as RunId;
  const code = (device: number) => `code ${salt} ${device}`;
  await storage.openRun({ ...opening, run: freshRun });
  const ends = new Map<number, { seq: number; digest: string }>();
  const followed: ListedEntry[] = [];
  const calls: Promise<unknown>[] = [];
  for (const device of [0, 1, 2, 3]) {
    await storage.invite({ ...invitation, run: freshRun, codeDigest: code(device) });
    await storage.join({
      ...joining,
      codeDigest: code(device),
      device: `device-${device}` as DeviceId,
      tokenDigest: `token ${device}`,
    });
  }
  const follow = async () => {
    const { listed } = await storage.readEntries(freshRun, followed.at(-1)?.place ?? 0, 3);
    const next = (followed.at(-1)?.place ?? 0) + 1;
    followed.push(...listed.filter(({ place }, index) => place === next + index));
    return listed.length;
  };
  for (const [number, count] of pushes) {
    const device = `device-${number}` as DeviceId;
    const entries = chain({ run: freshRun, device }, notes(count), ends.get(number) ?? null);
    ends.set(number, endOf(entries));
    calls.push(
      storage.takeEntries(incoming(entries), { run: freshRun, device, nowMs: 1 }),
      follow(),
    );
  }
  await Promise.all(calls);
  while ((await follow()) > 0);
  return followed;
}

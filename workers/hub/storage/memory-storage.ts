// A storage that is gone with the process: for tests, and to try the hub without a disk.
// It keeps every rule of record-storage.ts but [storage 1]: nothing of it outlives the process.

import { assert } from "../../../machines/base/assert.ts";
import type { Identity, InjectId } from "../../../machines/procedure/ids.ts";
import type { EntryName } from "../../../machines/record/entry.ts";
import type { DeviceId, RunId } from "../../../machines/record/ids.ts";
import type { JoinAnswer } from "../../../machines/sync/join.ts";
import { judgeEntries } from "./judge-entries.ts";
import type {
  EntriesFrom,
  IncomingEntry,
  Invitation,
  Joining,
  JoinRefusalCode,
  ListedEntry,
  RecordStorage,
  RunOpening,
  SetAsideEntry,
  StoredDevice,
  StoredProcedure,
  StoredScriptText,
  TakeResult,
} from "./record-storage.ts";

/** An empty storage. `epoch`: random text. */
export function createMemoryStorage(epoch: string): RecordStorage {
  const kept: Kept = {
    procedures: new Map(),
    scripts: new Map(),
    runs: new Map(),
    codes: new Map(),
  };
  return {
    epoch,
    ...documentCalls(kept),
    ...doorCalls(kept),
    ...entryCalls(kept),
    count: () => Promise.resolve(countOf(kept)),
    close: () => Promise.resolve(),
  };
}

type Kept = {
  readonly procedures: Map<Identity, StoredProcedure>;
  readonly scripts: Map<Identity, StoredScriptText>;
  readonly runs: Map<RunId, KeptRun>;
  readonly codes: Map<string, KeptInvitation>;
};

type KeptInvitation = Invitation & { usedBy: DeviceId | null };

type KeptDevice = StoredDevice & {
  readonly tokenDigest: string;
  readonly byCode: boolean;
  lastHeardMs: number;
};

type KeptRun = {
  readonly opening: RunOpening;
  isClosed: boolean;
  readonly devices: Map<DeviceId, KeptDevice>;
  readonly entriesByDevice: Map<DeviceId, IncomingEntry[]>;
  readonly listed: IncomingEntry[];
  readonly setAside: SetAsideEntry[];
};

type DocumentCalls =
  | "putProcedure"
  | "listProcedures"
  | "readProcedureText"
  | "putInjectScript"
  | "readInjectScript";

function documentCalls({ procedures, scripts }: Kept): Pick<RecordStorage, DocumentCalls> {
  return {
    async putProcedure(procedure) {
      if (!procedures.has(procedure.identity)) procedures.set(procedure.identity, procedure);
    },
    async listProcedures() {
      return [...procedures.values()]
        .reverse()
        .map(({ identity, id, title, revision, summary }) => {
          return { identity, id, title, revision, summary };
        });
    },
    async readProcedureText(identity) {
      return procedures.get(identity)?.text ?? null;
    },
    async putInjectScript(script) {
      if (!scripts.has(script.identity)) scripts.set(script.identity, script);
    },
    async readInjectScript(procedureId) {
      return [...scripts.values()].findLast((one) => one.procedureId === procedureId) ?? null;
    },
  };
}

type DoorCalls =
  | "openRun"
  | "readRun"
  | "hearDevice"
  | "readLastHeardMs"
  | "readAdmissions"
  | "invite"
  | "join";

function doorCalls(kept: Kept): Pick<RecordStorage, DoorCalls> {
  return {
    async openRun(opening) {
      return openRun(kept, opening);
    },
    async readRun(run) {
      const found = kept.runs.get(run);
      if (found === undefined) return null;
      const { title, procedure } = found.opening;
      const procedureId = kept.procedures.get(procedure)?.id;
      assert(procedureId !== undefined, "a run's procedure is kept");
      return { run, title, procedure, procedureId, isClosed: found.isClosed };
    },
    async hearDevice(run, tokenDigest, nowMs) {
      const devices = kept.runs.get(run)?.devices.values() ?? [];
      const heard = [...devices].find((one) => one.tokenDigest === tokenDigest);
      if (heard === undefined) return null;
      heard.lastHeardMs = Math.max(heard.lastHeardMs, nowMs);
      const { device, role, lane, deviceName } = heard;
      return { run, device, role, lane, deviceName };
    },
    async readLastHeardMs(run) {
      const devices = [...(kept.runs.get(run)?.devices.values() ?? [])];
      return Object.fromEntries(devices.map(({ device, lastHeardMs }) => [device, lastHeardMs]));
    },
    async readAdmissions(run) {
      const found = kept.runs.get(run);
      if (found === undefined) return [];
      const named = new Set(found.listed.map(({ admits }) => admits));
      return [...found.devices.values()]
        .filter(({ byCode, device }) => byCode && !named.has(device))
        .map(({ device, deviceName, role, lane }) => ({ device, deviceName, role, lane }));
    },
    async invite(invitation) {
      if (kept.codes.has(invitation.codeDigest)) return false;
      kept.codes.set(invitation.codeDigest, { ...invitation, usedBy: null });
      return true;
    },
    async join(joining) {
      return join(kept, joining);
    },
  };
}

function openRun(kept: Kept, opening: RunOpening): "opened" | "run-taken" | "procedure-unknown" {
  const there = kept.runs.get(opening.run)?.opening;
  if (there !== undefined) {
    const isSame =
      there.device === opening.device &&
      there.tokenDigest === opening.tokenDigest &&
      there.title === opening.title &&
      there.procedure === opening.procedure;
    return isSame ? "opened" : "run-taken";
  }
  if (!kept.procedures.has(opening.procedure)) return "procedure-unknown";
  const { run, device, deviceName, tokenDigest, nowMs } = opening;
  const director: KeptDevice = {
    run,
    device,
    deviceName,
    tokenDigest,
    role: "director",
    lane: null,
    byCode: false,
    lastHeardMs: nowMs,
  };
  kept.runs.set(run, {
    opening,
    isClosed: false,
    devices: new Map([[device, director]]),
    entriesByDevice: new Map(),
    listed: [],
    setAside: [],
  });
  return "opened";
}

function join(kept: Kept, joining: Joining): JoinAnswer | JoinRefusalCode {
  const invitation = kept.codes.get(joining.codeDigest);
  if (invitation === undefined) return "code-unknown";
  const found = kept.runs.get(invitation.run);
  assert(found !== undefined, "an invitation's run is kept");
  const { device, deviceName, tokenDigest, nowMs } = joining;
  const { run, role, lane } = invitation;
  const { title, procedure } = found.opening;
  const answer = { run, title, procedure, role, lane };
  const there = found.devices.get(device);
  if (invitation.usedBy !== null && invitation.usedBy !== device) return "code-used";
  if (there !== undefined) {
    if (there.tokenDigest !== tokenDigest) return "device-taken";
    return there.role === role && there.lane === lane ? answer : "device-already-in";
  }
  if (invitation.expiresAtMs <= nowMs) return "code-expired";
  const tokens = [...found.devices.values()].map((one) => one.tokenDigest);
  if (tokens.includes(tokenDigest)) return "device-taken";
  invitation.usedBy = device;
  found.devices.set(device, {
    run,
    device,
    deviceName,
    tokenDigest,
    role,
    lane,
    byCode: true,
    lastHeardMs: nowMs,
  });
  return answer;
}

type EntryCalls =
  | "takeEntries"
  | "readHave"
  | "readEntries"
  | "readHead"
  | "readFiredInjects"
  | "isDirectorOnly"
  | "readSetAside";

function entryCalls({ runs }: Kept): Pick<RecordStorage, EntryCalls> {
  return {
    async takeEntries(entries, from) {
      const found = runs.get(from.run);
      assert(found !== undefined, "the run of entries is kept");
      return takeEntries(found, entries, from);
    },
    async readHave(run) {
      const entriesByDevice = [...(runs.get(run)?.entriesByDevice ?? [])];
      return Object.fromEntries(entriesByDevice.map(([device, { length }]) => [device, length]));
    },
    async readEntries(run, after, most) {
      const all = runs.get(run)?.listed ?? [];
      const listed: ListedEntry[] = all
        .slice(after, after + most)
        .map(({ entry, digest, isDirectorOnly }, index) => {
          return { place: after + index + 1, entry, digest, isDirectorOnly };
        });
      return { listed, head: all.length };
    },
    async readHead(run) {
      return runs.get(run)?.listed.length ?? 0;
    },
    async readFiredInjects(run) {
      const fired = (runs.get(run)?.listed ?? []).map(({ fires }) => fires);
      return new Set(fired.filter((inject): inject is InjectId => inject !== null));
    },
    async isDirectorOnly(run, { device, seq }: EntryName) {
      return runs.get(run)?.entriesByDevice.get(device)?.[seq - 1]?.isDirectorOnly;
    },
    async readSetAside(run) {
      return [...(runs.get(run)?.setAside ?? [])];
    },
  };
}

function takeEntries(
  run: KeptRun,
  entries: readonly IncomingEntry[],
  { device }: EntriesFrom,
): TakeResult {
  for (const { entry } of entries) {
    assert(entry.run === run.opening.run, "an entry that comes in is of the run of the call");
    assert(entry.device === device, "an entry that comes in is of the device of the call");
  }
  const there = run.entriesByDevice.get(device) ?? [];
  const judgement = judgeEntries(entries, there.length, (seq) => there[seq - 1]?.digest);
  for (const taken of judgement.take) {
    there.push(taken);
    run.listed.push(taken);
    if (taken.closesRun && !run.isClosed) {
      run.isClosed = true;
      run.listed.push(...run.listed.filter(({ isDirectorOnly }) => isDirectorOnly));
    }
  }
  if (there.length > 0) run.entriesByDevice.set(device, there);
  const aside = judgement.refused === null ? [] : newlySetAside(run, judgement.setAside);
  const code = judgement.refused?.code ?? "gap";
  run.setAside.push(
    ...aside.map(({ entry, digest, text }) => ({ device, seq: entry.seq, digest, text, code })),
  );
  const { take, refused } = judgement;
  return { taken: take.length, setAside: aside.length, refused };
}

function newlySetAside(
  { setAside }: KeptRun,
  entries: readonly IncomingEntry[],
): readonly IncomingEntry[] {
  const there = new Set(setAside.map(({ digest }) => digest));
  return entries.filter(({ digest }) => !there.has(digest));
}

function countOf({ runs }: Kept): {
  runs: number;
  devices: number;
  entries: number;
  setAside: number;
} {
  const all = [...runs.values()];
  return {
    runs: all.length,
    devices: sum(all.map(({ devices }) => devices.size)),
    entries: sum(all.flatMap((run) => [...run.entriesByDevice.values()].map((one) => one.length))),
    setAside: sum(all.map(({ setAside }) => setAside.length)),
  };
}

function sum(numbers: readonly number[]): number {
  return numbers.reduce((total, one) => total + one, 0);
}

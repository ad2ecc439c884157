// A storage that is gone with the process: for tests, and to try the hub without a disk.
// It keeps every rule of record-storage.ts but [storage 1]: nothing of it outlives the process.

import { assert } from "../../../machines/base/assert.ts";
import type { Identity, InjectId } from "../../../machines/procedure/ids.ts";
import type { DeviceId, RunId } from "../../../machines/record/ids.ts";
import { isSameOpening, judgeJoining } from "./judge-joining.ts";
import type { JoinAnswer } from "../../../machines/sync/join.ts";
import { planTake } from "./plan-take.ts";
import type { PlannedSegment, RunState } from "./plan-take.ts";
import { setAsideMax } from "./record-storage.ts";
import type {
  IncomingSegment,
  Invitation,
  Joining,
  JoinRefusalCode,
  Listed,
  ListedPage,
  NotedEntry,
  RecordStorage,
  RunOpening,
  SetAsideSegment,
  StorageCounts,
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
    ...segmentCalls(kept),
    watch: () => () => undefined,
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

type KeptInvitation = Omit<Invitation, "expiresAtMs"> & {
  readonly expiresAtMs: number | null;
  usedBy: DeviceId | null;
};

type KeptDevice = Omit<StoredDevice, "isStruckOff"> & {
  readonly tokenDigest: string | null;
  /** Waits to be named by a director's letter that is listed after this place; null: it need not. */
  readonly waitsFrom: number | null;
  lastHeardMs: number;
};

type KeptNoted = NotedEntry & { readonly place: number; readonly author: DeviceId };

type KeptRun = {
  readonly opening: RunOpening;
  readonly state: RunState;
  readonly devices: Map<DeviceId, KeptDevice>;
  readonly digestsByDevice: Map<DeviceId, string[]>;
  readonly listed: (PlannedSegment | "unveiled")[];
  readonly noted: KeptNoted[];
  readonly setAside: SetAsideSegment[];
  setAsideCount: number;
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
  | "readDevice"
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
      return { run, title, procedure, procedureId, isClosed: found.state.isClosed };
    },
    async hearDevice(run, tokenDigest, nowMs) {
      const found = kept.runs.get(run);
      const devices = [...(found?.devices.values() ?? [])];
      const heard = devices.find((one) => one.tokenDigest === tokenDigest);
      if (found === undefined || heard === undefined) return null;
      heard.lastHeardMs = Math.max(heard.lastHeardMs, nowMs);
      return storedDevice(found, heard);
    },
    async readDevice(run, device) {
      const found = kept.runs.get(run);
      const there = found?.devices.get(device);
      return found === undefined || there === undefined ? null : storedDevice(found, there);
    },
    async readLastHeardMs(run) {
      const devices = [...(kept.runs.get(run)?.devices.values() ?? [])];
      const came = devices.filter(({ tokenDigest }) => tokenDigest !== null);
      return Object.fromEntries(came.map(({ device, lastHeardMs }) => [device, lastHeardMs]));
    },
    async readAdmissions(run) {
      const found = kept.runs.get(run);
      if (found === undefined) return [];
      return [...found.devices.values()]
        .filter((device) => waitsToBeNamed(found, device))
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

function storedDevice(
  found: KeptRun,
  { run, device, role, lane, deviceName }: KeptDevice,
): StoredDevice {
  const last = found.noted.findLast(
    ({ admits, strikesOff }) => admits === device || strikesOff === device,
  );
  const isStruckOff = last?.strikesOff === device;
  return { run, device, role, lane, deviceName, isStruckOff };
}

function waitsToBeNamed(found: KeptRun, { device, waitsFrom }: KeptDevice): boolean {
  if (waitsFrom === null) return false;
  return !found.noted.some(({ admits, place }) => admits === device && place > waitsFrom);
}

function openRun(kept: Kept, opening: RunOpening): "opened" | "run-taken" | "procedure-unknown" {
  const there = kept.runs.get(opening.run)?.opening;
  if (there !== undefined) return isSameOpening(there, opening) ? "opened" : "run-taken";
  if (!kept.procedures.has(opening.procedure)) return "procedure-unknown";
  const { run, device, deviceName, tokenDigest, recovery, nowMs } = opening;
  const director = { run, role: "director", lane: null, waitsFrom: null } as const;
  const devices = new Map<DeviceId, KeptDevice>();
  devices.set(device, { ...director, device, deviceName, tokenDigest, lastHeardMs: nowMs });
  if (recovery !== null) {
    const spare = { device: recovery.device, deviceName: "Recovery code", tokenDigest: null };
    devices.set(recovery.device, { ...director, ...spare, lastHeardMs: nowMs });
    const { codeDigest } = recovery;
    const door = { codeDigest, run, role: "director", lane: null } as const;
    if (!kept.codes.has(codeDigest)) {
      kept.codes.set(codeDigest, { ...door, expiresAtMs: null, usedBy: null });
    }
  }
  kept.runs.set(run, {
    opening,
    state: { head: 0, isClosed: false, hidesSomething: false, chains: new Map() },
    devices,
    digestsByDevice: new Map(),
    listed: [],
    noted: [],
    setAside: [],
    setAsideCount: 0,
  });
  return "opened";
}

function join(kept: Kept, joining: Joining): JoinAnswer | JoinRefusalCode {
  const invitation = kept.codes.get(joining.codeDigest);
  if (invitation === undefined) return "code-unknown";
  const found = kept.runs.get(invitation.run);
  assert(found !== undefined, "an invitation's run is kept");
  const { device, deviceName, tokenDigest, nowMs } = joining;
  const there = found.devices.get(device);
  const tokenOf = [...found.devices.values()].find((one) => one.tokenDigest === tokenDigest);
  const { title, procedure } = found.opening;
  const judgement = judgeJoining(
    joining,
    { ...invitation, title, procedure },
    {
      device: there === undefined ? null : { ...there, ...storedDevice(found, there) },
      tokenOf: tokenOf?.device ?? null,
    },
  );
  if (judgement.does !== "let-in") return judgement.answer;
  const { run, role, lane } = judgement.answer;
  const waitsFrom = there === undefined ? 0 : found.state.head;
  invitation.usedBy = device;
  found.devices.set(device, {
    run,
    device,
    deviceName,
    tokenDigest,
    role,
    lane,
    waitsFrom: judgement.waitsToBeNamed ? waitsFrom : null,
    lastHeardMs: nowMs,
  });
  return judgement.answer;
}

type SegmentCalls =
  | "takeSegment"
  | "setAside"
  | "readHave"
  | "readListed"
  | "readHead"
  | "readFiredInjects"
  | "isDirectorOnly"
  | "readSetAside"
  | "readSetAsideReports";

function segmentCalls({ runs }: Kept): Pick<RecordStorage, SegmentCalls> {
  return {
    async takeSegment(segment, nowMs) {
      const found = runs.get(segment.run);
      assert(found !== undefined, "the run of a segment is kept");
      return takeSegment(found, segment, nowMs);
    },
    async setAside(evidence) {
      const found = runs.get(evidence.run);
      assert(found !== undefined, "the run of what is set aside is kept");
      return setAside(found, evidence);
    },
    async readHave(run) {
      const chains = [...(runs.get(run)?.state.chains ?? [])];
      return Object.fromEntries(chains.map(([device, { have }]) => [device, have]));
    },
    async readListed(run, after, entriesMost) {
      const found = runs.get(run);
      return found === undefined ? { listed: [], head: 0 } : readListed(found, after, entriesMost);
    },
    async readHead(run) {
      return runs.get(run)?.state.head ?? 0;
    },
    async readFiredInjects(run) {
      const fired = (runs.get(run)?.noted ?? []).map(({ fires }) => fires);
      return new Set(fired.filter((inject): inject is InjectId => inject !== null));
    },
    async isDirectorOnly(run, { device, seq }) {
      const found = runs.get(run);
      if (seq > (found?.state.chains.get(device)?.have ?? 0)) return undefined;
      const noted = found?.noted.find((one) => one.author === device && one.seq === seq);
      return noted?.isDirectorOnly ?? false;
    },
    async readSetAside(run) {
      return [...(runs.get(run)?.setAside ?? [])];
    },
    async readSetAsideReports(run) {
      return (runs.get(run)?.setAside ?? []).map((one) => {
        const { device, fromSeq, toSeq, code, receivedMs } = one;
        return { device, fromSeq, toSeq, code, receivedMs };
      });
    },
  };
}

function takeSegment(found: KeptRun, incoming: IncomingSegment, nowMs: number): TakeResult {
  const digests = found.digestsByDevice.get(incoming.device) ?? [];
  const plan = planTake(found.state, incoming, nowMs, (seq) => digests[seq - 1]);
  if (plan.setAside !== null) setAside(found, plan.setAside);
  if (plan.segment !== null) {
    const { fromSeq, place, device, noted } = plan.segment;
    digests.push(...incoming.digests.slice(fromSeq - incoming.fromSeq));
    found.digestsByDevice.set(device, digests);
    found.listed.push(plan.segment);
    found.noted.push(...noted.map((one) => ({ ...one, place, author: device })));
  }
  if (plan.unveiledPlace !== null) found.listed.push("unveiled");
  return plan.result;
}

function setAside(foundMutable: KeptRun, evidence: SetAsideSegment): boolean {
  const isThere = foundMutable.setAside.some(
    ({ digest, code }) => digest === evidence.digest && code === evidence.code,
  );
  if (isThere) return false;
  foundMutable.setAsideCount += 1;
  if (foundMutable.setAside.length >= setAsideMax) return false;
  foundMutable.setAside.push(evidence);
  return true;
}

function readListed(found: KeptRun, after: number, entriesMost: number): ListedPage {
  const page: Listed[] = [];
  let entries = 0;
  for (let place = after + 1; place <= found.listed.length && entries < entriesMost; place += 1) {
    const one = found.listed[place - 1];
    if (one === undefined || one === "unveiled") {
      const hidden = found.noted.filter((noted) => noted.isDirectorOnly && noted.place < place);
      page.push({ place, what: "unveiled", texts: hidden.map(({ text }) => text) });
      entries += hidden.length;
      continue;
    }
    const hidden = one.noted
      .filter(({ isDirectorOnly }) => isDirectorOnly)
      .map(({ seq, digest }) => ({ seq, digest }));
    page.push({ place, what: "segment", text: one.text, hidden });
    entries += one.toSeq - one.fromSeq + 1;
  }
  return { listed: page, head: found.state.head };
}

function countOf({ runs }: Kept): StorageCounts {
  const all = [...runs.values()];
  const came = all.flatMap(({ devices }) =>
    [...devices.values()].filter(({ tokenDigest }) => tokenDigest !== null),
  );
  const chains = all.flatMap(({ state }) => [...state.chains.values()]);
  return {
    runs: all.length,
    devices: came.length,
    entries: chains.reduce((total, { have }) => total + have, 0),
    setAside: all.reduce((total, { setAsideCount }) => total + setAsideCount, 0),
  };
}

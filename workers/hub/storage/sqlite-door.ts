// Runs, devices and invitations in SQLite: [storage 9], [storage 10] and [storage 11].

import type Database from "better-sqlite3";
import type { DeviceId, RunId } from "../../../machines/record/ids.ts";
import type { Admission, JoinAnswer } from "../../../machines/sync/join.ts";
import type {
  Invitation,
  Joining,
  JoinRefusalCode,
  RecordStorage,
  RunOpening,
  StoredDevice,
  StoredRun,
} from "./record-storage.ts";

type DoorCalls =
  | "openRun"
  | "readRun"
  | "hearDevice"
  | "readLastHeardMs"
  | "readAdmissions"
  | "invite"
  | "join";

/** The calls of a storage that concern runs and who is in them. */
export function sqliteDoor(database: Database.Database): Pick<RecordStorage, DoorCalls> {
  const openRun = runOpener(database);
  const join = joiner(database);
  const readRun = database.prepare<[RunId], Omit<StoredRun, "isClosed"> & { isClosed: number }>(
    `SELECT run, runs.title, procedure, procedures.id AS procedureId, is_closed AS isClosed
     FROM runs JOIN procedures ON procedures.identity = runs.procedure WHERE run = ?`,
  );
  const hearDevice = database.prepare<[number, RunId, string], StoredDevice>(
    `UPDATE devices SET last_heard_ms = max(last_heard_ms, ?) WHERE run = ? AND token_digest = ?
     RETURNING run, device, role, lane, name AS deviceName`,
  );
  const readLastHeard = database.prepare<[RunId], { device: DeviceId; lastHeardMs: number }>(
    "SELECT device, last_heard_ms AS lastHeardMs FROM devices WHERE run = ? ORDER BY device",
  );
  const readAdmissions = database.prepare<[RunId], Admission>(
    `SELECT device, name AS deviceName, role, lane FROM devices
     WHERE run = ? AND by_code = 1 AND NOT EXISTS (
       SELECT 1 FROM entries WHERE entries.run = devices.run AND admits = devices.device)
     ORDER BY came_at_ms, device`,
  );
  const invite = database.prepare<[Invitation]>(
    `INSERT INTO invitations (code_digest, run, role, lane, expires_at_ms)
     VALUES (@codeDigest, @run, @role, @lane, @expiresAtMs)
     ON CONFLICT (code_digest) DO NOTHING`,
  );
  return {
    openRun: async (opening) => openRun(opening),
    async readRun(run) {
      const row = readRun.get(run);
      return row === undefined ? null : { ...row, isClosed: row.isClosed === 1 };
    },
    hearDevice: async (run, tokenDigest, nowMs) => hearDevice.get(nowMs, run, tokenDigest) ?? null,
    async readLastHeardMs(run) {
      const rows = readLastHeard.all(run);
      return Object.fromEntries(rows.map(({ device, lastHeardMs }) => [device, lastHeardMs]));
    },
    readAdmissions: async (run) => readAdmissions.all(run),
    invite: async (invitation) => invite.run(invitation).changes === 1,
    join: async (joining) => join(joining),
  };
}

type OpenOutcome = "opened" | "run-taken" | "procedure-unknown";

function runOpener(database: Database.Database): (opening: RunOpening) => OpenOutcome {
  const there = database.prepare<[RunId], OpenedBefore>(
    `SELECT runs.title, procedure, opened_by AS device, token_digest AS tokenDigest
     FROM runs JOIN devices ON devices.run = runs.run AND devices.device = opened_by
     WHERE runs.run = ?`,
  );
  const procedure = database.prepare<[string], unknown>(
    "SELECT 1 FROM procedures WHERE identity = ?",
  );
  const addRun = database.prepare<[RunOpening]>(
    `INSERT INTO runs (run, title, procedure, opened_by, opened_at_ms)
     VALUES (@run, @title, @procedure, @device, @nowMs)`,
  );
  const addDirector = database.prepare<[RunOpening]>(
    `INSERT INTO devices
       (run, device, name, token_digest, role, lane, by_code, came_at_ms, last_heard_ms)
     VALUES (@run, @device, @deviceName, @tokenDigest, 'director', NULL, 0, @nowMs, @nowMs)`,
  );
  const open = database.transaction((opening: RunOpening): OpenOutcome => {
    const before = there.get(opening.run);
    if (before !== undefined) return isSameOpening(before, opening) ? "opened" : "run-taken";
    if (procedure.get(opening.procedure) === undefined) return "procedure-unknown";
    addRun.run(opening);
    addDirector.run(opening);
    return "opened";
  });
  return (opening) => open.immediate(opening);
}

type OpenedBefore = Pick<RunOpening, "title" | "procedure" | "device" | "tokenDigest">;

function isSameOpening(before: OpenedBefore, opening: RunOpening): boolean {
  return (
    before.device === opening.device &&
    before.tokenDigest === opening.tokenDigest &&
    before.title === opening.title &&
    before.procedure === opening.procedure
  );
}

type InvitationRow = JoinAnswer & {
  readonly expiresAtMs: number;
  readonly usedBy: DeviceId | null;
};
type DeviceRow = Pick<StoredDevice, "role" | "lane"> & { readonly tokenDigest: string };

function joiner(database: Database.Database): (joining: Joining) => JoinAnswer | JoinRefusalCode {
  const invitations = database.prepare<[string], InvitationRow>(
    `SELECT run, title, procedure, role, lane, expires_at_ms AS expiresAtMs, used_by AS usedBy
     FROM invitations JOIN runs USING (run) WHERE code_digest = ?`,
  );
  const devices = database.prepare<[RunId, DeviceId], DeviceRow>(
    "SELECT role, lane, token_digest AS tokenDigest FROM devices WHERE run = ? AND device = ?",
  );
  const tokens = database.prepare<[RunId, string], unknown>(
    "SELECT 1 FROM devices WHERE run = ? AND token_digest = ?",
  );
  const use = database.prepare<[DeviceId, string]>(
    "UPDATE invitations SET used_by = ? WHERE code_digest = ?",
  );
  const add = database.prepare<[Joining & JoinAnswer]>(
    `INSERT INTO devices
       (run, device, name, token_digest, role, lane, by_code, came_at_ms, last_heard_ms)
     VALUES (@run, @device, @deviceName, @tokenDigest, @role, @lane, 1, @nowMs, @nowMs)`,
  );
  const join = database.transaction((joining: Joining): JoinAnswer | JoinRefusalCode => {
    const invitation = invitations.get(joining.codeDigest);
    if (invitation === undefined) return "code-unknown";
    const { usedBy, expiresAtMs, ...answer } = invitation;
    if (usedBy !== null && usedBy !== joining.device) return "code-used";
    const there = devices.get(answer.run, joining.device);
    if (there !== undefined) return answerAgain(there, joining, answer);
    if (expiresAtMs <= joining.nowMs) return "code-expired";
    if (tokens.get(answer.run, joining.tokenDigest) !== undefined) return "device-taken";
    use.run(joining.device, joining.codeDigest);
    add.run({ ...joining, ...answer });
    return answer;
  });
  return (joining) => join.immediate(joining);
}

function answerAgain(
  there: DeviceRow,
  joining: Joining,
  answer: JoinAnswer,
): JoinAnswer | JoinRefusalCode {
  if (there.tokenDigest !== joining.tokenDigest) return "device-taken";
  const isSame = there.role === answer.role && there.lane === answer.lane;
  return isSame ? answer : "device-already-in";
}

// Runs, devices and invitations in SQLite: [storage 9] to [storage 11], [storage 13] and [storage 16].

import type Database from "better-sqlite3";
import type { DeviceId, RunId } from "../../../machines/record/ids.ts";
import type { Admission, JoinAnswer } from "../../../machines/sync/join.ts";
import { isSameOpening, judgeJoining } from "./judge-joining.ts";
import type { DeviceThere, InvitationThere, OpenedBefore } from "./judge-joining.ts";
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
  | "readDevice"
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
  const readDevice = database.prepare<[RunId, DeviceId], DeviceRow>(
    `SELECT ${deviceColumns} FROM devices WHERE run = ? AND device = ?`,
  );
  const readLastHeard = database.prepare<[RunId], { device: DeviceId; lastHeardMs: number }>(
    `SELECT device, last_heard_ms AS lastHeardMs FROM devices
     WHERE run = ? AND token_digest IS NOT NULL ORDER BY device`,
  );
  const readAdmissions = database.prepare<[RunId], Admission>(
    `SELECT device, name AS deviceName, role, lane FROM devices
     WHERE run = ? AND by_code = 1 AND NOT EXISTS (
       SELECT 1 FROM noted WHERE noted.run = (SELECT number FROM runs WHERE runs.run = devices.run)
         AND coalesce(admits, strikes_off) = devices.device AND admits IS NOT NULL
         AND noted.place > came_at_place)
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
    hearDevice: hearer(database),
    readDevice: async (run, device) => deviceOfRow(readDevice.get(run, device)),
    async readLastHeardMs(run) {
      const rows = readLastHeard.all(run);
      return Object.fromEntries(rows.map(({ device, lastHeardMs }) => [device, lastHeardMs]));
    },
    readAdmissions: async (run) => readAdmissions.all(run),
    invite: async (invitation) => invite.run(invitation).changes === 1,
    join: async (joining) => join(joining),
  };
}

// The device with what its last letter says of it.
const deviceColumns = `devices.run, device, role, lane, name AS deviceName, coalesce((
    SELECT strikes_off IS NOT NULL FROM noted
    WHERE noted.run = (SELECT number FROM runs WHERE runs.run = devices.run)
      AND coalesce(admits, strikes_off) = devices.device
      AND (admits IS NOT NULL OR strikes_off IS NOT NULL)
    ORDER BY noted.place DESC, noted.seq DESC LIMIT 1), 0) AS isStruckOff`;

type DeviceRow = Omit<StoredDevice, "isStruckOff"> & { readonly isStruckOff: number };

function deviceOfRow(row: DeviceRow | undefined): StoredDevice | null {
  return row === undefined ? null : { ...row, isStruckOff: row.isStruckOff === 1 };
}

function hearer(database: Database.Database): RecordStorage["hearDevice"] {
  const readByToken = database.prepare<[RunId, string], DeviceRow>(
    `SELECT ${deviceColumns} FROM devices WHERE run = ? AND token_digest = ?`,
  );
  const hear = database.prepare<[number, RunId, DeviceId]>(
    `UPDATE devices SET last_heard_ms = max(last_heard_ms, ?) WHERE run = ? AND device = ?`,
  );
  return async (run, tokenDigest, nowMs) => {
    const row = readByToken.get(run, tokenDigest);
    if (row === undefined) return null;
    // Each request would wait for the disk otherwise; see [storage 15].
    database.pragma("synchronous = NORMAL");
    try {
      hear.run(nowMs, run, row.device);
    } finally {
      database.pragma("synchronous = FULL");
    }
    return deviceOfRow(row);
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
  const addSpare = database.prepare<[RunId, DeviceId, number, number]>(
    `INSERT INTO devices
       (run, device, name, token_digest, role, lane, by_code, came_at_ms, last_heard_ms)
     VALUES (?, ?, 'Recovery code', NULL, 'director', NULL, 0, ?, ?)`,
  );
  const addDoor = database.prepare<[string, RunId]>(
    `INSERT INTO invitations (code_digest, run, role, lane, expires_at_ms)
     VALUES (?, ?, 'director', NULL, NULL) ON CONFLICT (code_digest) DO NOTHING`,
  );
  const open = database.transaction((opening: RunOpening): OpenOutcome => {
    const { run, recovery, nowMs } = opening;
    const before = there.get(run);
    if (before !== undefined) return isSameOpening(before, opening) ? "opened" : "run-taken";
    if (procedure.get(opening.procedure) === undefined) return "procedure-unknown";
    addRun.run(opening);
    addDirector.run(opening);
    if (recovery === null) return "opened";
    addSpare.run(run, recovery.device, nowMs, nowMs);
    addDoor.run(recovery.codeDigest, run);
    return "opened";
  });
  return (opening) => open.immediate(opening);
}

function joiner(database: Database.Database): (joining: Joining) => JoinAnswer | JoinRefusalCode {
  const invitations = database.prepare<[string], InvitationThere>(
    `SELECT run, title, procedure, role, lane, expires_at_ms AS expiresAtMs, used_by AS usedBy
     FROM invitations JOIN runs USING (run) WHERE code_digest = ?`,
  );
  const devices = database.prepare<[RunId, DeviceId], DeviceRow & Omit<DeviceThere, "isStruckOff">>(
    `SELECT ${deviceColumns}, token_digest AS tokenDigest FROM devices WHERE run = ? AND device = ?`,
  );
  const tokens = database.prepare<[RunId, string], { device: DeviceId }>(
    "SELECT device FROM devices WHERE run = ? AND token_digest = ?",
  );
  const use = database.prepare<[DeviceId, string]>(
    "UPDATE invitations SET used_by = ? WHERE code_digest = ?",
  );
  const put = database.prepare<[Joining & JoinAnswer & { byCode: number }]>(
    `INSERT INTO devices
       (run, device, name, token_digest, role, lane, by_code, came_at_ms, last_heard_ms)
     VALUES (@run, @device, @deviceName, @tokenDigest, @role, @lane, @byCode, @nowMs, @nowMs)
     ON CONFLICT (run, device) DO UPDATE SET
       name = excluded.name, token_digest = excluded.token_digest, role = excluded.role,
       lane = excluded.lane, by_code = excluded.by_code, last_heard_ms = excluded.last_heard_ms,
       came_at_place = (SELECT head FROM runs WHERE runs.run = excluded.run)`,
  );
  const join = database.transaction((joining: Joining): JoinAnswer | JoinRefusalCode => {
    const { codeDigest, device, tokenDigest } = joining;
    const invitation = invitations.get(codeDigest);
    if (invitation === undefined) return "code-unknown";
    const there = devices.get(invitation.run, device);
    const judgement = judgeJoining(joining, invitation, {
      device: there === undefined ? null : { ...there, isStruckOff: there.isStruckOff === 1 },
      tokenOf: tokens.get(invitation.run, tokenDigest)?.device ?? null,
    });
    if (judgement.does !== "let-in") return judgement.answer;
    const { answer, waitsToBeNamed } = judgement;
    use.run(device, codeDigest);
    put.run({ ...joining, ...answer, byCode: Number(waitsToBeNamed) });
    return answer;
  });
  return (joining) => join.immediate(joining);
}

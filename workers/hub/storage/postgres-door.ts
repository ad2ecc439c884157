// Runs, devices and invitations in PostgreSQL: [storage 9] to [storage 11], [storage 13], [storage 16].

import type { DeviceId, RunId } from "../../../machines/record/ids.ts";
import type { Admission, JoinAnswer } from "../../../machines/sync/join.ts";
import { isSameOpening, judgeJoining } from "./judge-joining.ts";
import type { DeviceThere, InvitationThere, OpenedBefore } from "./judge-joining.ts";
import type { Ask, PostgresDatabase } from "./postgres-database.ts";
import type { TellOthers } from "./postgres-wake.ts";
import type {
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
export function postgresDoor(
  { ask, transact }: PostgresDatabase,
  tellOthers: TellOthers,
): Pick<RecordStorage, DoorCalls> {
  return {
    openRun: (opening) => transact((asking) => openRun(asking, opening)),
    async readRun(run) {
      const [row] = await ask<StoredRun>(
        `SELECT run, runs.title, procedure, procedures.id AS "procedureId",
           is_closed AS "isClosed"
         FROM runs JOIN procedures ON procedures.identity = runs.procedure WHERE run = $1`,
        [run],
      );
      return row ?? null;
    },
    hearDevice: (run, tokenDigest, nowMs) => hearDevice(ask, { run, tokenDigest, nowMs }),
    readDevice: (run, device) => readDevice(ask, run, device),
    async readLastHeardMs(run) {
      const rows = await ask<{ device: DeviceId; lastHeardMs: number }>(
        `SELECT device, last_heard_ms AS "lastHeardMs" FROM devices
         WHERE run = $1 AND token_digest IS NOT NULL ORDER BY device COLLATE "C"`,
        [run],
      );
      return Object.fromEntries(rows.map(({ device, lastHeardMs }) => [device, lastHeardMs]));
    },
    readAdmissions: (run) =>
      ask<Admission>(
        `SELECT device, name AS "deviceName", role, lane FROM devices
         WHERE run = $1 AND by_code AND NOT EXISTS (
           SELECT 1 FROM noted
           WHERE noted.run = (SELECT number FROM runs WHERE runs.run = devices.run)
             AND coalesce(admits, strikes_off) = devices.device AND admits IS NOT NULL
             AND noted.place > came_at_place)
         ORDER BY came_at_ms, device COLLATE "C"`,
        [run],
      ),
    async invite({ codeDigest, run, role, lane, expiresAtMs }) {
      const rows = await ask(
        `INSERT INTO invitations (code_digest, run, role, lane, expires_at_ms)
         VALUES ($1, $2, $3, $4, $5) ON CONFLICT (code_digest) DO NOTHING RETURNING 1`,
        [codeDigest, run, role, lane, expiresAtMs],
      );
      return rows.length === 1;
    },
    async join(joining) {
      const outcome = await transact((asking) => join(asking, joining));
      if (typeof outcome === "object") tellOthers(outcome.run);
      return outcome;
    },
  };
}

// Whether the last letter about a device of that table struck it off.
function isStruckOffIn(table: string): string {
  return `coalesce((
    SELECT strikes_off IS NOT NULL FROM noted
    WHERE noted.run = (SELECT number FROM runs WHERE runs.run = ${table}.run)
      AND coalesce(admits, strikes_off) = ${table}.device
      AND (admits IS NOT NULL OR strikes_off IS NOT NULL)
    ORDER BY noted.place DESC, noted.seq DESC LIMIT 1), false) AS "isStruckOff"`;
}

function deviceColumns(table: string): string {
  return `${table}.run, device, role, lane, name AS "deviceName", ${isStruckOffIn(table)}`;
}

async function hearDevice(
  ask: Ask,
  { run, tokenDigest, nowMs }: Pick<Joining, "tokenDigest" | "nowMs"> & { readonly run: RunId },
): Promise<StoredDevice | null> {
  // This one commit does not wait for the disk; see [storage 15].
  const [row] = await ask<StoredDevice & { setting: string }>(
    `WITH heard AS (
       UPDATE devices SET last_heard_ms = greatest(last_heard_ms, $3)
       WHERE run = $1 AND token_digest = $2 RETURNING run, device, role, lane, name)
     SELECT ${deviceColumns("heard")}, set_config('synchronous_commit', 'off', true) AS setting
     FROM heard`,
    [run, tokenDigest, nowMs],
  );
  if (row === undefined) return null;
  const { setting: _setting, ...device } = row;
  return device;
}

async function readDevice(ask: Ask, run: RunId, device: DeviceId): Promise<StoredDevice | null> {
  const sql = `SELECT ${deviceColumns("devices")} FROM devices WHERE run = $1 AND device = $2`;
  const [row] = await ask<StoredDevice>(sql, [run, device]);
  return row ?? null;
}

type OpenOutcome = "opened" | "run-taken" | "procedure-unknown";

async function openRun(ask: Ask, opening: RunOpening): Promise<OpenOutcome> {
  const { run, title, procedure, device, deviceName, tokenDigest, recovery, nowMs } = opening;
  const procedures = await ask("SELECT 1 FROM procedures WHERE identity = $1", [procedure]);
  // Of two openings at once the second waits here until the first is there or gone.
  const added =
    procedures.length === 0
      ? []
      : await ask(
          `INSERT INTO runs (run, title, procedure, opened_by, opened_at_ms)
           VALUES ($1, $2, $3, $4, $5) ON CONFLICT (run) DO NOTHING RETURNING 1`,
          [run, title, procedure, device, nowMs],
        );
  if (added.length === 0) {
    const [before] = await ask<OpenedBefore>(
      `SELECT runs.title, procedure, opened_by AS device, token_digest AS "tokenDigest"
       FROM runs JOIN devices ON devices.run = runs.run AND devices.device = opened_by
       WHERE runs.run = $1`,
      [run],
    );
    if (before === undefined) return "procedure-unknown";
    return isSameOpening(before, opening) ? "opened" : "run-taken";
  }
  const addDevice = `INSERT INTO devices
      (run, device, name, token_digest, role, lane, by_code, came_at_ms, last_heard_ms)
    VALUES ($1, $2, $3, $4, 'director', NULL, false, $5, $5)`;
  await ask(addDevice, [run, device, deviceName, tokenDigest, nowMs]);
  if (recovery === null) return "opened";
  await ask(addDevice, [run, recovery.device, "Recovery code", null, nowMs]);
  await ask(
    `INSERT INTO invitations (code_digest, run, role, lane, expires_at_ms)
     VALUES ($1, $2, 'director', NULL, NULL) ON CONFLICT (code_digest) DO NOTHING`,
    [recovery.codeDigest, run],
  );
  return "opened";
}

async function join(ask: Ask, joining: Joining): Promise<JoinAnswer | JoinRefusalCode> {
  const { codeDigest, device, deviceName, tokenDigest, nowMs } = joining;
  // The run is locked too, so that one device does not come in twice by two codes.
  const [invitation] = await ask<InvitationThere>(
    `SELECT run, title, procedure, role, lane, expires_at_ms AS "expiresAtMs", used_by AS "usedBy"
     FROM invitations JOIN runs USING (run) WHERE code_digest = $1
     FOR NO KEY UPDATE OF invitations, runs`,
    [codeDigest],
  );
  if (invitation === undefined) return "code-unknown";
  const { run } = invitation;
  const [there] = await ask<DeviceThere>(
    `SELECT role, lane, token_digest AS "tokenDigest", ${isStruckOffIn("devices")}
     FROM devices WHERE run = $1 AND device = $2`,
    [run, device],
  );
  const [token] = await ask<{ device: DeviceId }>(
    "SELECT device FROM devices WHERE run = $1 AND token_digest = $2",
    [run, tokenDigest],
  );
  const known = { device: there ?? null, tokenOf: token?.device ?? null };
  const judgement = judgeJoining(joining, invitation, known);
  if (judgement.does !== "let-in") return judgement.answer;
  const { answer, waitsToBeNamed } = judgement;
  const sql = "UPDATE invitations SET used_by = $1 WHERE code_digest = $2";
  await ask(sql, [device, codeDigest]);
  await ask(
    `INSERT INTO devices
       (run, device, name, token_digest, role, lane, by_code, came_at_ms, last_heard_ms)
     VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $8)
     ON CONFLICT (run, device) DO UPDATE SET
       name = excluded.name, token_digest = excluded.token_digest, role = excluded.role,
       lane = excluded.lane, by_code = excluded.by_code, last_heard_ms = excluded.last_heard_ms,
       came_at_place = (SELECT head FROM runs WHERE runs.run = excluded.run)`,
    [run, device, deviceName, tokenDigest, answer.role, answer.lane, waitsToBeNamed, nowMs],
  );
  return answer;
}

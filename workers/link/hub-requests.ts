// Asking the hub: one function a request, each answer read before it is believed.
//
// [hub-requests 1] A request ends within `answerMsMax`; a hub that hangs counts as out of reach.
// [hub-requests 2] What comes back is the message that was asked for, or an error.

import type { Identity } from "../../machines/procedure/ids.ts";
import { canonicalJson } from "../../machines/base/canonical-json.ts";
import { procedureIdentity } from "../../machines/procedure/identity.ts";
import type { InjectScript } from "../../machines/procedure/inject-script.ts";
import type { Procedure } from "../../machines/procedure/procedure.ts";
import { readInjectScript } from "../../machines/procedure/read-inject-script.ts";
import { readProcedure } from "../../machines/procedure/read-procedure.ts";
import type { ShapeReading } from "../../machines/procedure/read-shape.ts";
import type { RunId } from "../../machines/record/ids.ts";
import { readInviteAnswer } from "../../machines/sync/invite.ts";
import type { InviteAnswer, InviteRequest } from "../../machines/sync/invite.ts";
import { readJoinAnswer } from "../../machines/sync/join.ts";
import type { JoinAnswer, JoinRequest } from "../../machines/sync/join.ts";
import { readOpenAnswer } from "../../machines/sync/open.ts";
import type { OpenAnswer, OpenRequest } from "../../machines/sync/open.ts";
import { readProceduresAnswer } from "../../machines/sync/procedures.ts";
import type { ProcedureSummary } from "../../machines/sync/procedures.ts";
import { protocolHeader, protocolVersion } from "../../machines/sync/protocol-version.ts";
import { readPullAnswer } from "../../machines/sync/pull.ts";
import type { PullAnswer, PullCursor } from "../../machines/sync/pull.ts";
import { readPushAnswer } from "../../machines/sync/push.ts";
import type { PushAnswer } from "../../machines/sync/push.ts";
import { readRefusal } from "../../machines/sync/refusal.ts";
import type { Refusal } from "../../machines/sync/refusal.ts";
import type { Segment } from "../../machines/sync/segment.ts";
import { sha256Hex } from "../keys/sha-256.ts";
import { HubGarbledError } from "./hub-garbled-error.ts";
import { HubRefusedError } from "./hub-refused-error.ts";
import { HubUnreachableError } from "./hub-unreachable-error.ts";

/** A hub that has not answered by then is out of reach. */
const answerMsMax = 30_000;
/** Bodies from this size on are sent compressed. */
export const compressedBytesMin = 2_048;

/** How the hub is asked. */
export type HubDoor = {
  /** Where the hub is: "" for the origin that served the app. */
  readonly address: string;
  readonly fetch: typeof fetch;
};

/** A run and the secret that opens it to this device. */
export type RunDoor = { readonly run: RunId; readonly token: string };

/** The door of the hub that served this app. */
export function ownHub(): HubDoor {
  return { address: "", fetch: (input, init) => fetch(input, init) };
}

/** POST /api/runs. Errors: as `askHub`. */
export async function askOpen(door: HubDoor, request: OpenRequest): Promise<OpenAnswer> {
  const asked = { method: "POST", path: "/api/runs", body: request, token: request.token };
  return readOr(await askHub(door, asked), readOpenAnswer);
}

/** POST /api/join. Errors: as `askHub`. */
export async function askJoin(door: HubDoor, request: JoinRequest): Promise<JoinAnswer> {
  const asked = { method: "POST", path: "/api/join", body: request, token: null };
  return readOr(await askHub(door, asked), readJoinAnswer);
}

/** POST /api/runs/:run/invitations. Errors: as `askHub`. */
export async function askInvite(
  door: HubDoor,
  of: RunDoor,
  request: InviteRequest,
): Promise<InviteAnswer> {
  const path = `/api/runs/${of.run}/invitations`;
  const asked = { method: "POST", path, body: request, token: of.token };
  return readOr(await askHub(door, asked), readInviteAnswer);
}

/** POST /api/runs/:run/entries. Errors: as `askHub`. */
export async function askPush(
  door: HubDoor,
  of: RunDoor,
  segments: readonly Segment[],
): Promise<PushAnswer> {
  const path = `/api/runs/${of.run}/entries`;
  const asked = { method: "POST", path, body: { segments }, token: of.token };
  return readOr(await askHub(door, asked), readPushAnswer);
}

/** GET /api/runs/:run/entries. Errors: as `askHub`. */
export async function askPull(
  door: HubDoor,
  of: RunDoor,
  cursor: PullCursor | null,
): Promise<PullAnswer> {
  const query =
    cursor === null ? "" : `?epoch=${encodeURIComponent(cursor.epoch)}&after=${cursor.after}`;
  const path = `/api/runs/${of.run}/entries${query}`;
  const asked = { method: "GET", path, body: null, token: of.token };
  return readOr(await askHub(door, asked), readPullAnswer);
}

/** GET /api/procedures. Errors: as `askHub`. */
export async function askProcedures(door: HubDoor): Promise<readonly ProcedureSummary[]> {
  const asked = { method: "GET", path: "/api/procedures", body: null, token: null };
  return readOr(await askHub(door, asked), readProceduresAnswer).procedures;
}

/** GET /api/procedures/:identity. Errors: as `askHub`; an answer of another identity is garbled. */
export async function askProcedure(
  door: HubDoor,
  identity: Identity,
  token: string | null,
): Promise<Procedure> {
  const path = `/api/procedures/${identity}`;
  const text = await askHub(door, { method: "GET", path, body: null, token });
  const { procedure, faults } = readProcedure(text);
  if (procedure === null) throw new HubGarbledError(faults);
  if (procedureIdentity(procedure, sha256Hex) !== identity) throw new HubGarbledError([]);
  return procedure;
}

/** PUT /api/procedures/:identity. Errors: as `askHub`. */
export async function putProcedure(
  door: HubDoor,
  procedure: Procedure,
  token: string | null,
): Promise<void> {
  const path = `/api/procedures/${procedureIdentity(procedure, sha256Hex)}`;
  await askHub(door, { method: "PUT", path, body: procedure, token });
}

/** GET /api/runs/:run/inject-script; null: the hub has none. Errors: as `askHub`. */
export async function askInjectScript(door: HubDoor, of: RunDoor): Promise<InjectScript | null> {
  const path = `/api/runs/${of.run}/inject-script`;
  try {
    const text = await askHub(door, { method: "GET", path, body: null, token: of.token });
    const stored = parse(text);
    const script: unknown = Reflect.get(Object(stored), "script");
    const reading = readInjectScript(JSON.stringify(script) ?? "");
    if (reading.script === null) throw new HubGarbledError(reading.faults);
    return reading.script;
  } catch (cause) {
    if (cause instanceof HubRefusedError && cause.status === 404) return null;
    throw cause;
  }
}

/** The headers of every request. `token` null: the request needs none. */
export function hubHeaders(token: string | null): Record<string, string> {
  const headers: Record<string, string> = { [protocolHeader]: String(protocolVersion) };
  if (token !== null) headers["authorization"] = `Bearer ${token}`;
  return headers;
}

/** What the hub's refusal was. Errors: none; one that cannot be read gets words of its own. */
async function refusedBy(response: Response): Promise<HubRefusedError> {
  const seconds = Number(response.headers.get("retry-after") ?? 0);
  const waitMs = Number.isFinite(seconds) && seconds > 0 ? seconds * 1_000 : 0;
  const text = await response.text().catch(() => "");
  const known = readRefusal(parseOrNull(text)).value;
  const unknown: Refusal = {
    code: "refusal-unreadable",
    says: `The hub refused, with status ${response.status}.`,
    mend: "See the hub's log.",
    faults: [],
  };
  return new HubRefusedError(response.status, known ?? unknown, waitMs);
}

type Asked = {
  readonly method: string;
  readonly path: string;
  readonly body: unknown;
  readonly token: string | null;
};

// Sends one request and returns the answer's text.
// Errors: `HubUnreachableError`, `HubRefusedError`, `HubGarbledError`.
async function askHub(door: HubDoor, asked: Asked): Promise<string> {
  const headers = hubHeaders(asked.token);
  const init: RequestInit = { method: asked.method, headers, cache: "no-store" };
  init.signal = AbortSignal.timeout(answerMsMax);
  if (asked.body !== null) Object.assign(init, await bodyOf(asked.body, headers));
  try {
    const response = await door.fetch(door.address + asked.path, init);
    if (!response.ok) throw await refusedBy(response);
    return await response.text();
  } catch (cause) {
    if (cause instanceof HubRefusedError) throw cause;
    throw new HubUnreachableError({ cause });
  }
}

async function bodyOf(
  body: unknown,
  headersMutable: Record<string, string>,
): Promise<Pick<RequestInit, "body">> {
  const bytes = new TextEncoder().encode(canonicalJson(body));
  headersMutable["content-type"] = "application/json";
  if (bytes.length < compressedBytesMin) return { body: bytes };
  headersMutable["content-encoding"] = "gzip";
  const packed = new Blob([bytes]).stream().pipeThrough(new CompressionStream("gzip"));
  return { body: await new Response(packed).arrayBuffer() };
}

function readOr<Message>(text: string, read: (value: unknown) => ShapeReading<Message>): Message {
  const reading = read(parse(text));
  if (reading.value === null) throw new HubGarbledError(reading.faults);
  return reading.value;
}

function parse(text: string): unknown {
  try {
    return JSON.parse(text);
  } catch (cause) {
    throw new HubGarbledError([], { cause });
  }
}

function parseOrNull(text: string): unknown {
  try {
    return JSON.parse(text);
  } catch {
    return null;
  }
}

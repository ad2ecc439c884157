// A tablet for tests: its own database, its own clock, the real loop, and a line to a hub that can be cut.

import type { EntryBody } from "../../../../machines/record/entry.ts";
import type { RunId } from "../../../../machines/record/ids.ts";
import { createToken } from "../../../../workers/keys/random-token.ts";
import { askInvite, askJoin } from "../../../../workers/link/hub-requests.ts";
import type { HubDoor } from "../../../../workers/link/hub-requests.ts";
import { joiningOf } from "../../../../workers/link/introduce-device.ts";
import type { SyncMessage } from "../../../../workers/link/messages.ts";
import { createSyncLoop } from "../../../../workers/link/sync-loop.ts";
import type { SyncLoop } from "../../../../workers/link/sync-loop.ts";
import { appendEntry } from "../../../../workers/store/append-entry.ts";
import type { Database, Device, RunAtHub } from "../../../../workers/store/database.ts";
import { storeJoinedRun } from "../../../../workers/store/join-run.ts";
import { openRun } from "../../../../workers/store/open-run.ts";
import { nameDevice } from "../../../../workers/store/this-device.ts";
import { writeProcedure } from "../../../../workers/store/write-procedure.ts";
import type { Role } from "../../../../machines/record/entry.ts";
import type { PositionId } from "../../../../machines/procedure/ids.ts";
import { aDatabase } from "../../../support/a-database.ts";
import { aProcedure } from "../../../support/a-procedure.ts";
import type { TestHub } from "../hub/a-hub.ts";

/** A tablet. */
export type Tablet = {
  readonly database: Database;
  readonly device: Device;
  readonly door: HubDoor;
  readonly loop: SyncLoop;
  readonly told: readonly SyncMessage[];
  /** Paths asked so far, with the method before. */
  readonly asked: string[];
  readonly line: Line;
  readonly tap: (run: RunId, body: EntryBody) => Promise<void>;
};

/** The line to the hub, and the tablet's clock. */
type Line = {
  /** What befalls the next requests, in turn; then nothing does. */
  mishaps: ("none" | "request-cut" | "answer-cut")[];
  isCut: boolean;
  /** Answers with this instead of asking the hub. */
  garbled: string | null;
  /** How far the tablet's clock is ahead of the hub's, milliseconds. */
  aheadMs: number;
};

/** A hub in this process or in one of its own. */
export type HubToAsk = Pick<TestHub, "ask"> & { readonly clock: Pick<TestHub["clock"], "nowMs"> };

/** A tablet that can reach the hub. */
export async function aTablet(testHub: HubToAsk, name: string): Promise<Tablet> {
  const database = aDatabase();
  const told: SyncMessage[] = [];
  const asked: string[] = [];
  const line: Line = { mishaps: [], isCut: false, garbled: null, aheadMs: 0 };
  const door: HubDoor = { address: "http://hub.test", fetch: doorTo(testHub, line, asked) };
  const readWallMs = () => testHub.clock.nowMs() + line.aheadMs;
  const device = await nameDevice(database, name);
  const tell = (message: SyncMessage): void => {
    told.push(message);
  };
  const loop = createSyncLoop({ database, door, readWallMs, random: () => 0, tell });
  const tap = async (run: RunId, body: EntryBody): Promise<void> => {
    const by = { run, device: device.device, position: null, wallMs: readWallMs() };
    await appendEntry(database, { ...by, body });
  };
  return { database, device, door, loop, told, asked, line, tap };
}

/** Opens a run on a tablet. */
export async function openOn(tablet: Tablet, testHub: HubToAsk): Promise<RunAtHub> {
  const wallMs = testHub.clock.nowMs() + tablet.line.aheadMs;
  const procedure = await writeProcedure(tablet.database, aProcedure(), wallMs);
  const { database, device } = tablet;
  return openRun(database, { procedure, title: "Monday", device, recovery: null, wallMs });
}

/** Lets a tablet join a run with a code of the director's. */
export async function joinOn(
  tablet: Tablet,
  director: { readonly tablet: Tablet; readonly stored: RunAtHub },
  as: { readonly role: Role; readonly lane: PositionId | null },
): Promise<RunAtHub> {
  const { run, token: theirs } = director.stored;
  const { code } = await askInvite(director.tablet.door, { run, token: theirs }, as);
  const token = createToken();
  const answer = await askJoin(tablet.door, await joiningOf(code, tablet.device, token));
  return storeJoinedRun(tablet.database, answer, token, 0);
}

function doorTo(testHub: HubToAsk, line: Line, asked: string[]): typeof fetch {
  return async (input, init) => {
    const url = new URL(input instanceof Request ? input.url : input);
    const method = init?.method ?? "GET";
    asked.push(`${method} ${url.pathname}`);
    const mishap = line.mishaps.shift() ?? "none";
    if (line.isCut || mishap === "request-cut") throw new TypeError("Failed to fetch");
    if (line.garbled !== null) return new Response(line.garbled);
    const headers = Object.fromEntries(new Headers(init?.headers));
    const body = init?.body === null || init?.body === undefined ? {} : { body: init.body };
    const answer = await testHub.ask(method, url.pathname + url.search, { headers, ...body });
    if (mishap === "answer-cut") throw new TypeError("Failed to fetch");
    return answer;
  };
}

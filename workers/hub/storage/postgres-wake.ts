// Hubs on one PostgreSQL tell each other that a run has something new, by NOTIFY.
//
// [postgres-wake 1] It is a hint: it goes out after the commit and on a connection of its own way, at most
//   every `tellPeriodMs` a process, and nothing waits for it. A notifying transaction takes a lock of the
//   whole cluster at its commit, so the one that takes entries never notifies.
// [postgres-wake 2] A hint names its run and its process only, far below the 8,000 bytes of a payload.
// [postgres-wake 3] A line that breaks is made again; what was said meanwhile is lost, see `watch`.

import { randomUUID } from "node:crypto";
import { Client } from "pg";
import type { RunId } from "../../../machines/record/ids.ts";
import { connectionOf } from "./postgres-database.ts";
import type { Ask } from "./postgres-database.ts";
import type { RecordStorage } from "./record-storage.ts";

/** Tells other processes that a run has something new. */
export type TellOthers = (run: RunId) => void;

/** The line to the other hubs. */
export type Wake = {
  readonly tell: TellOthers;
  readonly watch: RecordStorage["watch"];
  readonly close: () => Promise<void>;
};

/** At most one hint in this time goes out; those that come meanwhile go together. */
const tellPeriodMs = 50;
const reconnectMs = 1_000;
const channel = "lanehold_runs";

/** Opens the line; it listens once somebody watches. Errors: none; a line that fails is made again. */
export function openWake(url: string, ask: Ask): Wake {
  const process = randomUUID();
  const hearers = new Set<(run: RunId) => void>();
  const line = createLine(url, (payload) => {
    const [from, run] = payload.split(" ");
    if (from === process || run === undefined) return;
    for (const hear of hearers) hear(run as RunId);
  });
  const teller = createTeller((runs) =>
    ask("SELECT pg_notify($1, payload) FROM unnest($2::text[]) AS payload", [
      channel,
      runs.map((run) => `${process} ${run}`),
    ]),
  );
  return {
    tell: teller.tell,
    watch(hear) {
      hearers.add(hear);
      line.open();
      return () => hearers.delete(hear);
    },
    async close() {
      await teller.close();
      await line.close();
    },
  };
}

function createTeller(send: (runs: readonly RunId[]) => Promise<unknown>) {
  const runs = new Set<RunId>();
  let sending: Promise<void> | null = null;
  const order = { isClosed: false };

  async function sendAll(): Promise<void> {
    while (runs.size > 0 && !order.isClosed) {
      const now = [...runs];
      runs.clear();
      await send(now).catch(() => undefined);
      await passes(tellPeriodMs);
    }
    sending = null;
  }

  return {
    tell: (run: RunId): void => {
      runs.add(run);
      sending ??= sendAll();
    },
    async close() {
      order.isClosed = true;
      await sending;
    },
  };
}

function createLine(url: string, hear: (payload: string) => void) {
  let state: "new" | "open" | "closed" = "new";
  let client: Client | null = null;
  let reconnect: NodeJS.Timeout | undefined;

  function connect(): void {
    if (state === "closed") return;
    const connecting = new Client(connectionOf(url));
    client = connecting;
    let isLost = false;
    const lose = () => {
      if (isLost) return;
      isLost = true;
      void connecting.end().catch(() => undefined);
      if (state !== "closed") reconnect = setTimeout(connect, reconnectMs);
    };
    connecting.on("error", lose);
    connecting.on("end", lose);
    connecting.on("notification", ({ payload }) => hear(payload ?? ""));
    connecting
      .connect()
      .then(() => connecting.query(`LISTEN ${channel}`))
      .catch(lose);
  }

  return {
    open() {
      if (state !== "new") return;
      state = "open";
      connect();
    },
    async close() {
      state = "closed";
      clearTimeout(reconnect);
      await client?.end().catch(() => undefined);
    },
  };
}

function passes(milliseconds: number): Promise<void> {
  return new Promise((resolve) => {
    setTimeout(resolve, milliseconds);
  });
}

// The slowest and most obvious hub and device, for tests of the sync session: lists in memory.
// What travels is entries as they are: to the session a segment is whatever the store makes of it.

import type { Entry } from "../../machines/record/entry.ts";
import type { DeviceId, RunId } from "../../machines/record/ids.ts";
import type { PullAnswer, PullCursor } from "../../machines/sync/pull.ts";
import type { PushAnswer } from "../../machines/sync/push.ts";
import { createSession, stepSession } from "../../machines/sync/sync-session.ts";
import type {
  SyncEnd,
  SyncFacts,
  SyncInput,
  SyncOrder,
  SyncSession,
} from "../../machines/sync/sync-session.ts";

const stamps = { receivedMs: 0, answeredMs: 0 };

/** A hub with one run. */
export class HubModel {
  epoch = 0;
  knowsRun = false;
  log: Entry[] = [];
  /** How many entries one push takes at most and one pull gives at most. */
  readonly pageEntries = 3;

  have(): Record<DeviceId, number> {
    const have: Record<DeviceId, number> = {};
    for (const entry of this.log) have[entry.device] = Math.max(have[entry.device] ?? 0, entry.seq);
    return have;
  }

  push(entries: readonly Entry[]): PushAnswer {
    for (const entry of entries) {
      const have = this.have()[entry.device] ?? 0;
      if (entry.seq <= have) continue;
      if (entry.seq > have + 1) {
        const { device, seq } = entry;
        const refused = [{ device, seq, code: "gap", says: "Entries before it are missing." }];
        return { have: this.have(), refused, stamps };
      }
      this.log.push(entry);
    }
    return { have: this.have(), refused: [], stamps };
  }

  pull(cursor: PullCursor | null): PullAnswer {
    const epoch = `epoch-${this.epoch}`;
    const known = cursor?.epoch === epoch && cursor.after <= this.log.length;
    const after = known ? cursor.after : 0;
    const entries = this.log.slice(after, after + this.pageEntries);
    const next = after + entries.length;
    const more = next < this.log.length;
    const have = this.have();
    const told = { lastHeardMs: {}, admissions: [], setAside: [], stamps };
    const cursorNow = { epoch, after: next };
    return { ...told, segments: entries, unveiled: [], more, have, cursor: cursorNow };
  }

  /** Puts back an older copy of the storage, which is a new storage. */
  restore(entriesKept: number): void {
    this.epoch += 1;
    this.log = this.log.slice(0, entriesKept);
  }

  /** The storage is gone. */
  lose(): void {
    this.restore(0);
    this.knowsRun = false;
  }
}

/** What befalls a request or the answer to it. */
export type Mishap = "none" | "request-cut" | "answer-cut" | "crash-before" | "crash-after";

/** A device with a store in memory; what is in the session is lost in a crash, the store is not. */
export class DeviceModel {
  readonly device: DeviceId;
  readonly opener: boolean;
  readonly held = new Map<string, Entry>();
  session: SyncSession | null = null;
  cursor: PullCursor | null = null;
  confirmedSeq = 0;
  registered: boolean;
  ownSeq = 0;
  lastEnd: SyncEnd | null = null;

  constructor(device: string, opener: boolean) {
    this.device = device as DeviceId;
    this.opener = opener;
    this.registered = !opener;
  }

  tap(): void {
    this.ownSeq += 1;
    const seq = this.ownSeq;
    const body = { kind: "note.added", text: `note ${seq}`, step: null, oddity: false } as const;
    const { device } = this;
    const run = "run" as RunId;
    this.hold({ run, device, seq, prev: null, wallMs: 0, seen: {}, position: null, body });
  }

  /** One round; the mishaps befall its requests in turn, and then none does. Returns its orders. */
  round(hub: HubModel, mishaps: readonly Mishap[] = []): readonly SyncOrder["type"][] {
    const facts = this.facts();
    const left = [...mishaps];
    const orders: SyncOrder["type"][] = [];
    const session = this.session ?? createSession(facts);
    let step = stepSession(session, { type: "round.wanted", facts });
    while (step.output.type !== "round.finished" && step.output.type !== "round.put-off") {
      orders.push(step.output.type);
      const input = this.carryOut(hub, step.output, left);
      if (input === null) {
        this.session = null;
        return orders;
      }
      step = stepSession(step.session, input);
    }
    this.session = step.session;
    this.lastEnd = step.output;
    if (step.output.type === "round.put-off") {
      this.registered = step.session.registered;
      this.confirmedSeq = step.session.confirmedSeq;
      this.cursor = step.session.cursor;
    }
    return orders;
  }

  private facts(): SyncFacts {
    const { device, opener, registered, cursor, confirmedSeq, ownSeq } = this;
    const director = opener;
    return {
      device,
      opener,
      director,
      hasProcedure: true,
      registered,
      cursor,
      confirmedSeq,
      ownSeq,
    };
  }

  // Null: crashed.
  private carryOut(hub: HubModel, order: SyncOrder, mishapsMutable: Mishap[]): SyncInput | null {
    if (order.type === "entries.store") {
      if (mishapsMutable[0] === "crash-before") {
        mishapsMutable.shift();
        return null;
      }
      const { answer } = order;
      for (const entry of answer.segments as readonly Entry[]) this.hold(entry);
      this.cursor = answer.cursor;
      this.confirmedSeq = answer.have[this.device] ?? 0;
      const canRelay = !answer.more && this.relayed(answer.have).length > 0;
      const { ownSeq } = this;
      const news = { gaveWay: false, isBroken: false, canRelay };
      return { type: "entries.stored", ownSeq, answer, ...news };
    }
    const mishap = mishapsMutable.shift() ?? "none";
    if (mishap === "crash-before") return null;
    if (mishap === "request-cut") return { type: "request.failed", random: 0 };
    const answer = this.ask(hub, order);
    if (mishap === "answer-cut") return { type: "request.failed", random: 0 };
    if (mishap === "crash-after") return null;
    return answer;
  }

  private ask(hub: HubModel, order: SyncOrder): SyncInput {
    if (!hub.knowsRun && order.type.startsWith("entries.")) {
      const refusal = { code: "run-unknown", says: "This hub has no such run.", waitMs: 0 };
      return { type: "request.refused", refusal, random: 0 };
    }
    switch (order.type) {
      case "procedure.put":
        return { type: "procedure.put" };
      case "procedure.fetch":
        return { type: "procedure.fetched" };
      case "run.open":
        hub.knowsRun = true;
        this.registered = true;
        return { type: "run.opened" };
      case "entries.push":
        return this.push(hub, order.afterSeq);
      case "entries.pull":
        return { type: "entries.pulled", answer: hub.pull(order.cursor) };
      case "entries.relay":
        return this.relay(hub, order.have);
      case "entries.store":
      case "devices.admit":
        throw new Error(`The model is not asked for ${order.type}`);
    }
  }

  private push(hub: HubModel, afterSeq: number): SyncInput {
    const own = [...this.held.values()].filter((entry) => entry.device === this.device);
    const unsent = own.filter((entry) => entry.seq > afterSeq).toSorted((a, b) => a.seq - b.seq);
    const answer = hub.push(unsent.slice(0, hub.pageEntries));
    this.confirmedSeq = answer.have[this.device] ?? 0;
    return { type: "entries.pushed", afterSeq, answer };
  }

  private relay(hub: HubModel, had: Readonly<Record<DeviceId, number>>): SyncInput {
    const { have } = hub.push(this.relayed(had).slice(0, hub.pageEntries));
    const canRelay = this.relayed(have).length > 0;
    return { type: "entries.relayed", ownSeq: this.ownSeq, have, canRelay };
  }

  // Entries of others that the hub lacks and that follow on what it has.
  private relayed(have: Readonly<Record<DeviceId, number>>): readonly Entry[] {
    const next = new Map<DeviceId, number>();
    const others = [...this.held.values()].filter(({ device }) => device !== this.device);
    return others
      .toSorted((a, b) => a.seq - b.seq)
      .filter(({ device, seq }) => {
        const wanted = next.get(device) ?? (have[device] ?? 0) + 1;
        if (seq !== wanted) return false;
        next.set(device, seq + 1);
        return true;
      });
  }

  private hold(entry: Entry): void {
    this.held.set(`${entry.device}:${entry.seq}`, entry);
  }
}

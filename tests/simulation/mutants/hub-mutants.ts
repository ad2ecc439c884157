// Planted bugs in the hub.

import type { Mutant } from "./mutant.ts";

/** Bugs in the hub's routes and storages. */
export const hubMutants: readonly Mutant[] = [
  {
    name: "hub-takes-gaps",
    file: "workers/hub/storage/judge-entries.ts",
    find: 'if (entry.seq > have + 1) return "gap";',
    replace: "",
    breaks: "the hub takes entries beyond a gap",
  },
  {
    name: "hub-takes-broken-chains",
    file: "workers/hub/storage/judge-entries.ts",
    find: 'return entry.prev === digestBefore ? "next" : "chain";',
    replace: 'return entry.prev === digestBefore || entry.seq > 0 ? "next" : "chain";',
    breaks: "the hub takes an entry that follows on another",
  },
  {
    name: "hub-takes-forks",
    file: "workers/hub/storage/judge-entries.ts",
    find: 'return digestBySeq(entry.seq) === digest ? "there" : "fork";',
    replace: 'return digestBySeq(entry.seq) === digest ? "there" : "there";',
    breaks: "the hub says that it has an entry when it has another of that name",
  },
  {
    name: "hub-does-not-dedupe",
    file: "workers/hub/storage/judge-entries.ts",
    find: 'return digestBySeq(entry.seq) === digest ? "there" : "fork";',
    replace: 'return digestBySeq(entry.seq) === digest ? "fork" : "fork";',
    breaks: "an entry that is sent again is a fork",
  },
  {
    name: "hub-shows-injects",
    file: "machines/sync/redact-for-role.ts",
    find: 'const isHidden = isDirectorOnly && reader.role !== "director" && !reader.isRunClosed;',
    replace: 'const isHidden = isDirectorOnly && reader.role === "crew" && !reader.isRunClosed;',
    breaks: "readers and observers see injects before they are live",
  },
  {
    name: "hub-shows-gradings",
    file: "machines/sync/redact-for-role.ts",
    find: 'if (body.kind === "inject.armed" || body.kind === "inject.graded") return true;',
    replace: 'if (body.kind === "inject.armed") return true;',
    breaks: "gradings go to everybody",
  },
  {
    name: "hub-shows-cleared",
    file: "machines/sync/redact-for-role.ts",
    find: 'if (body.kind === "inject.cleared") return !known.isFired(body.inject);',
    replace: "",
    breaks: "the clearing of an inject that was never fired goes to everybody",
  },
  {
    name: "hub-shows-withdrawals",
    file: "machines/sync/redact-for-role.ts",
    find: 'return known.isDirectorOnly(body.withdrawn) ?? authorRole === "director";',
    replace: "return false;",
    breaks: "the withdrawal of an inject goes to everybody",
  },
  {
    name: "stand-in-loses-seen",
    file: "machines/sync/redact-for-role.ts",
    find: "return { ...entry, position: null,",
    replace: "return { ...entry, seen: {}, position: null,",
    breaks: "a stand-in does not tell what its entry had seen",
  },
];

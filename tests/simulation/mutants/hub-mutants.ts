// Planted bugs in the hub.

import type { Mutant } from "./mutant.ts";

/** Bugs in the hub's routes and storages. */
export const hubMutants: readonly Mutant[] = [
  {
    name: "hub-takes-gaps",
    file: "workers/hub/storage/judge-segment.ts",
    find: 'if (fromSeq > chain.have + 1) return { does: "refuse", seq: fromSeq, code: "gap" };',
    replace: 'if (fromSeq > chain.have + 1) return { does: "take", fromSeq };',
    breaks: "the hub takes entries beyond a gap",
  },
  {
    name: "hub-takes-broken-chains",
    file: "workers/hub/storage/judge-segment.ts",
    find: 'if (prev !== chain.digest) return { does: "refuse", seq: fromSeq, code: "chain" };',
    replace: "",
    breaks: "the hub takes an entry that follows on another",
  },
  {
    name: "hub-takes-forks",
    file: "workers/hub/storage/judge-segment.ts",
    find: 'if (there !== digests[seq - fromSeq]) return { does: "refuse", seq, code: "fork" };',
    replace: 'if (there === "") return { does: "refuse", seq, code: "fork" };',
    breaks: "the hub says that it has an entry when it has another of that name",
  },
  {
    name: "hub-does-not-dedupe",
    file: "workers/hub/storage/judge-segment.ts",
    find: 'if (there !== digests[seq - fromSeq]) return { does: "refuse", seq, code: "fork" };',
    replace: 'if (there !== "") return { does: "refuse", seq, code: "fork" };',
    breaks: "an entry that is sent again is a fork",
  },
  {
    name: "hub-shows-injects",
    file: "workers/hub/routes/pull.ts",
    find: "if (one.hidden.length === 0 || !readsStandIns(reader)) return [one.text];",
    replace: 'if (one.hidden.length === 0 || reader.role !== "crew") return [one.text];',
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
    find: "    positions: entries.positions.filter(",
    replace: `    seen: [],
    positions: entries.positions.filter(`,
    breaks: "a segment with stand-ins does not tell what its entries had seen",
  },
  {
    name: "kinds-left-in-list",
    file: "machines/sync/redact-for-role.ts",
    find: "...entries.shapes.filter((_, index) => shapeNumbers.has(index)),",
    replace: "...entries.shapes,",
    breaks: "the kinds of hidden entries stay in a segment that hides them",
  },
  {
    name: "hub-takes-unsigned",
    file: "workers/hub/routes/push.ts",
    find: "  if (!isSigned) return await refuseUnsigned(hub, segment, nowMs);",
    replace: '  if (!isSigned && prev === "") return await refuseUnsigned(hub, segment, nowMs);',
    breaks: "the hub takes what bears no good signature",
  },
  {
    name: "anybody-closes",
    file: "workers/hub/entry-facts.ts",
    find: 'if (author?.role !== "director" || author.isStruckOff) return noEffects;',
    replace: "if (author === null || author.isStruckOff) return noEffects;",
    breaks: "anybody closes the run, admits and strikes off at the hub",
  },
  {
    name: "struck-off-still-pulls",
    file: "workers/hub/authenticate.ts",
    find: "return device instanceof Response || !device.isStruckOff ? device : refuse(c, struckOff);",
    replace:
      'return device instanceof Response || device.role !== "director" ? device : refuse(c, struckOff);',
    breaks: "a device that was struck off is answered like any other",
  },
  {
    name: "code-lets-many-in",
    file: "workers/hub/storage/judge-joining.ts",
    find: 'if (usedBy !== null && usedBy !== joining.device) return refuse("code-used");',
    replace: "",
    breaks: "a code lets in whoever shows it",
  },
  {
    name: "code-never-expires",
    file: "workers/hub/storage/judge-joining.ts",
    find: 'if (expiresAtMs !== null && expiresAtMs <= joining.nowMs) return refuse("code-expired");',
    replace: "",
    breaks: "a code is good for ever",
  },
];

// Planted bugs in the record: order, corrected time, rights, fold.

import type { Mutant } from "./mutant.ts";

/** Bugs in the order and in what is made of it. */
export const recordMutants: readonly Mutant[] = [
  {
    name: "hold-seen-by-order",
    file: "machines/record/note-variance.ts",
    find: "  return (run.seenByDevice.get(turn.entry.device)?.seqsByDevice.get(device) ?? 0) >= seq;",
    replace: "  return run.seenByDevice.size >= 0 && seq > 0;",
    breaks: "a hold counts as seen once it is earlier in the order",
  },
  {
    name: "hold-seen-one-late",
    file: "machines/record/note-variance.ts",
    find: "  return (run.seenByDevice.get(turn.entry.device)?.seqsByDevice.get(device) ?? 0) >= seq;",
    replace:
      "  return (run.seenByDevice.get(turn.entry.device)?.seqsByDevice.get(device) ?? 0) > seq;",
    breaks: "a hold that was the last thing seen counts as not seen",
  },
  {
    name: "own-hold-not-seen",
    file: "machines/record/note-variance.ts",
    find: "if (device === turn.entry.device) return true;",
    replace: "",
    breaks: "who raised a hold counts as not having seen it",
  },
  {
    name: "order-by-wall-clock",
    file: "machines/record/running-order.ts",
    find: "    if (other.placed.length < needs) {",
    replace: "    if (other.placed.length < needs && needs < 0) {",
    breaks: "what was seen does not bar what saw it",
  },
  {
    name: "order-by-arrival",
    file: "machines/record/running-order.ts",
    find: "(a, b) => a.atMs < b.atMs || (a.atMs === b.atMs && a.chain.device < b.chain.device),",
    replace: "(a, b) => a.atMs < b.atMs,",
    breaks: "among equal times the one that came first here comes first",
  },
  {
    name: "order-drops-barred",
    file: "machines/record/running-order.ts",
    find: "if (waiter.needs <= chain.placed.length) queueNext(merging, waiter.chain);",
    replace: "if (waiter.needs < chain.placed.length) queueNext(merging, waiter.chain);",
    breaks: "a chain that waited for exactly this entry waits on",
  },
  {
    name: "clock-offset-reversed",
    file: "machines/record/corrected-time.ts",
    find: "const atMs = Math.round(wallMs + offsetMs);",
    replace: "const atMs = Math.round(wallMs - offsetMs);",
    breaks: "the offset is taken off the wall clock instead of added",
  },
  {
    name: "clock-jump-forgotten",
    file: "machines/record/corrected-time.ts",
    find: "offsetMs -= segment.jumpMs;",
    replace: "",
    breaks: "a segment without a sample keeps the offset from before the clock was set",
  },
  {
    name: "clock-sample-over-jump",
    file: "machines/record/corrected-time.ts",
    find: 'if (body.kind === "clock.jumped") {',
    replace: 'if (body.kind === "clock.jumped" && body.byMs === 0) {',
    breaks: "offsets are interpolated across a setting of the clock",
  },
  {
    name: "hold-covers-lane-only",
    file: "machines/record/assess-step.ts",
    find: "return hold.scope.task === step.task;",
    replace: "return false;",
    breaks: "a hold on a task stops nobody",
  },
  {
    name: "gate-left-open",
    file: "machines/record/assess-step.ts",
    find: "if (gate.before === before && isClosed)",
    replace: 'if (gate.before === before && isClosed && gate.sort !== "reading")',
    breaks: "a closed reading gate is in nobody's way",
  },
  {
    name: "readback-by-same-position",
    file: "machines/record/fold-gates.ts",
    find: "return { type: body.kind, secondPosition: acting !== gate.acknowledgedAs };",
    replace: "return { type: body.kind, secondPosition: acting !== null };",
    breaks: "no second position is needed",
  },
  {
    name: "first-report-decides",
    file: "machines/record/fold-gates.ts",
    find: "gateMutable.state = next;\n  return true;",
    replace: 'if (gateMutable.state !== "open") gateMutable.state = next;\n  return true;',
    breaks: "a later count or reading does not close a gate again",
  },
  {
    name: "withdrawal-keeps-gate",
    file: "machines/record/fold-gates.ts",
    find: "for (const act of gateMutable.acts) applyGateAct(gateMutable, act);",
    replace:
      'gateMutable.state = gateMutable.acts.length > 0 ? gateMutable.state : "open";\n  for (const act of gateMutable.acts) applyGateAct(gateMutable, act);',
    breaks: "a gate whose only act was withdrawn stays open",
  },
  {
    name: "withdrawn-release-forgotten",
    file: "machines/record/fold-holds.ts",
    find: `  hold.releasedAtMs = null;
  standAgain(runMutable, hold.id);
  return true;`,
    replace: `  hold.releasedAtMs = null;
  return true;`,
    breaks: "a hold whose release was withdrawn covers nobody",
  },
  {
    name: "rights-of-position",
    file: "machines/record/rights.ts",
    find: "isOwn(author, index.stepsById.get(step)?.lane);",
    replace: "isOwn(author, index.stepsById.get(step)?.lane) || author.lane !== null;",
    breaks: "crew may write for the steps of any lane",
  },
  {
    name: "observers-write-notes",
    file: "machines/record/rights.ts",
    find: '"note.added": ownPositions,',
    replace: '"note.added": { ...ownPositions, anyone: always },',
    breaks: "an observer's notes are applied",
  },
  {
    name: "anyone-withdraws",
    file: "machines/record/rights.ts",
    find: "withdrawn.device === author.device;",
    replace: 'withdrawn.device === author.device || author.role === "crew";',
    breaks: "crew may take back what others wrote",
  },
  {
    name: "beyond-rights-applied",
    file: "machines/record/fold-run.ts",
    find: 'noteVariance(runMutable, turn, "beyond-rights");\n    return "set-aside";',
    replace: 'noteVariance(runMutable, turn, "beyond-rights");',
    breaks: "what is beyond a role is noted and applied all the same",
  },
  {
    name: "anybody-admits",
    file: "machines/record/admit-devices.ts",
    find: 'authorAt(admissions, entry.device, place).role === "director",',
    replace: 'authorAt(admissions, entry.device, place).role !== "observer",',
    breaks: "letters of anybody but observers count",
  },
  {
    name: "liar-parts-others",
    file: "machines/record/overlook-claim.ts",
    find: "  if (aMs !== bMs) return aMs > bMs;",
    replace: "  if (aMs !== bMs) return aMs < bMs;",
    breaks: "of claims that bar each other the likeliest is overlooked",
  },
  {
    name: "strike-off-ignored",
    file: "machines/record/admit-devices.ts",
    find: "add(membershipsMutable, device, { place, atMs, author: stranger(device), name });",
    replace: "",
    breaks: "who was struck off goes on as before",
  },
  {
    name: "strike-off-from-start",
    file: "machines/record/admit-devices.ts",
    find: "if (membership.place < place) return membership.author;",
    replace:
      "if (membership.place < place || membership.author.role === null) return membership.author;",
    breaks: "what a device wrote before it was struck off is set aside too",
  },
];

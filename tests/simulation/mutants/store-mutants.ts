// Planted bugs on the device: its store and its clock.

import type { Mutant } from "./mutant.ts";

/** Bugs in a device's store. */
export const storeMutants: readonly Mutant[] = [
  {
    name: "told-before-commit",
    file: "workers/store/write-durably.ts",
    find: `  let transaction: Transaction | undefined;
  // Dexie keeps a transaction open over awaits only if it is given an async function.
  const written = database.transaction("rw", tables, async (begun) => {
    transaction = begun;
    return work();
  });
  try {
    return await beforeStall(written);`,
    replace: `  let transaction: Transaction | undefined;
  let tell: (result: Result) => void = () => undefined;
  const told = new Promise<Result>((resolve) => (tell = resolve));
  const written = database.transaction("rw", tables, async (begun) => {
    transaction = begun;
    const result = await work();
    tell(result);
    return result;
  });
  try {
    return await Promise.race([told, beforeStall(written)]);`,
    breaks: "a tap is told when it is written, before it is committed",
  },
  {
    name: "read-outside-transaction",
    file: "workers/store/append-entry.ts",
    find: `  let built: Entry | null = null;
  return writeDurably(database, [database.entries, database.heads], async () => {
    if (built !== null && (await isStored(database, built))) return built;
    built = await appendWithin(database, tap);
    return built;
  });`,
    replace: `  const heads = await headsOfRun(database, tap.run);
  const own = heads.find((head) => head.device === tap.device);
  const entry = buildEntry(tap, own, heads);
  return writeDurably(database, [database.entries, database.heads], async () => {
    await database.entries.put(entry);
    await database.heads.put({
      run: tap.run,
      device: tap.device,
      seq: entry.seq,
      digest: entryDigest(entry, sha256Hex),
      replacements: own?.replacements ?? 0,
      seenTold: { ...own?.seenTold, ...entry.seen },
    });
    return entry;
  });`,
    breaks: "the head is read before the transaction that moves it",
  },
  {
    name: "head-not-moved",
    file: "workers/store/append-entry.ts",
    find: "seenTold: { ...own?.seenTold, ...entry.seen },",
    replace: "seenTold: { ...own?.seenTold },",
    breaks: "what was told as seen is told again and again",
  },
  {
    name: "seen-forgotten",
    file: "workers/store/append-entry.ts",
    find: "(head) => head.device !== tap.device && head.seq > (told[head.device] ?? 0),",
    replace: "(head) => head.device !== tap.device && head.seq > (told[head.device] ?? 0) + 1,",
    breaks: "one new entry of another device is not told as seen",
  },
  {
    name: "seen-too-much",
    file: "workers/store/append-entry.ts",
    find: "news.map((head) => [head.device, head.seq])",
    replace: "news.map((head) => [head.device, head.seq + 1])",
    breaks: "an entry claims to have seen what is not there yet",
  },
  {
    name: "retry-writes-twice",
    file: "workers/store/append-entry.ts",
    find: "if (built !== null && (await isStored(database, built))) return built;",
    replace: "",
    breaks: "a tap that was stored when the connection was lost is stored again",
  },
  {
    name: "gap-taken",
    file: "workers/store/entry-union.ts",
    find: "} else if (entry.seq > headSeq + 1) {",
    replace: "} else if (entry.seq > headSeq + 1_000) {",
    breaks: "a device takes entries beyond a gap",
  },
  {
    name: "chain-not-checked",
    file: "workers/store/entry-union.ts",
    find: "} else if (entry.prev !== (headSeq === 0 ? null : head?.digest)) {",
    replace: "} else if (entry.seq < 1) {",
    breaks: "a device takes an entry that follows on another",
  },
  {
    name: "cursor-before-entries",
    file: "workers/link/carry-out-order.ts",
    find: `  const stored = await storePulled(database, {
    run,`,
    replace: `  await changeLink(world, run, (link) => ({ ...link, cursor: answer.cursor }));
  const stored = await storePulled(database, {
    run,`,
    breaks: "the cursor is saved before the entries that it stands for",
  },
  {
    name: "stand-in-stays",
    file: "workers/store/entry-union.ts",
    find: "if (!isStandIn(held) || isStandIn(entry)) return;",
    replace: "if (held.seq > 0) return;",
    breaks: "what closing brings out is not put in place of its stand-in",
  },
  {
    name: "stand-in-replaces",
    file: "workers/store/entry-union.ts",
    find: "if (!isStandIn(held) || isStandIn(entry)) return;",
    replace: "if (isStandIn(held) && isStandIn(entry)) return;",
    breaks: "a stand-in takes the place of the entry that is held",
  },
  {
    name: "pull-awaits-each",
    file: "workers/store/store-pulled.ts",
    find: "for (const segment of pulled.segments) takeSegment(union, segment);",
    replace: `for (const segment of pulled.segments) {
      takeSegment(union, segment);
      for (let turn = 0; turn < 30 * segment.entries.length; turn += 1) await null;
    }`,
    breaks: "a long pull falls out of its transaction",
  },
  {
    name: "admitted-twice",
    file: "workers/store/admit-devices.ts",
    find: "const isNamed = known.has(admissionName(one.device, one)) && !out.has(one.device);",
    replace: "const isNamed = known.size < 0 && !out.has(one.device);",
    breaks: "a device is admitted each time that the hub names it",
  },
  {
    name: "jump-not-recorded",
    file: "workers/store/clock-watch.ts",
    find: "return { sample: best, jumpMs: Math.abs(changeMs) > foundJumpMsMin ? changeMs : 0 };",
    replace: "return { sample: best, jumpMs: 0 };",
    breaks: "a change of offset is no jump of the clock",
  },
  {
    name: "clock-refuses-tap",
    file: "workers/store/append-entry.ts",
    find: "export async function appendEntry(database: Database, tap: Tap): Promise<Entry> {\n",
    replace:
      'export async function appendEntry(database: Database, tap: Tap): Promise<Entry> {\n  const link = await database.links.get(tap.run);\n  const contactMs = link?.lastContactMs ?? tap.wallMs;\n  if (Math.abs(contactMs - tap.wallMs) > 300_000) throw new Error("The clock is wrong.");\n',
    breaks: "a tap is refused because the clock is more than five minutes off",
  },
  {
    name: "quota-swallowed",
    file: "workers/store/write-durably.ts",
    find: '    throw reason?.name === "QuotaExceededError" ? reason : cause;',
    replace:
      '    if (reason?.name === "QuotaExceededError") return undefined as Result;\n    throw cause;',
    breaks: "a full disk is taken for a success",
  },
  {
    name: "no-second-try",
    file: "workers/store/write-durably.ts",
    find: "if (!isLostConnection(cause)) throw toOperationError(cause);",
    replace: "throw toOperationError(cause);",
    breaks: "a lost connection is not opened again",
  },
  {
    name: "lets-itself-in",
    file: "workers/store/admit-devices.ts",
    find: "return one.device !== by.device && !isNamed;",
    replace: "return !isNamed;",
    breaks: "a device of which no letter is held lets itself in",
  },
  {
    name: "struck-off-for-good",
    file: "workers/store/admit-devices.ts",
    find: "const isNamed = known.has(admissionName(one.device, one)) && !out.has(one.device);",
    replace: "const isNamed = known.has(admissionName(one.device, one)) && out !== undefined;",
    breaks: "a device that was struck off and joined again gets no letter",
  },
  {
    name: "fork-stands",
    file: "workers/store/entry-union.ts",
    find: "} else if (unionMutable.isFromHub) {",
    replace: "} else if (unionMutable.isFromHub && entry.seq < 0) {",
    breaks: "of two branches the one that was held first stands",
  },
  {
    name: "forked-taps-lost",
    file: "workers/store/store-pulled.ts",
    find: "    await appendWithin(database, { run, device, position, body, wallMs });",
    replace: `    if (body.kind === "note.added")
      await appendWithin(database, { run, device, position, body, wallMs });`,
    breaks: "own entries that gave way are not written again, notes aside",
  },
  {
    name: "forgeries-taken",
    file: "workers/link/check-segments.ts",
    find: "segments: whole.filter((_, index) => areSigned[index] === true),",
    replace: "segments: whole.filter((_, index) => areSigned[index] !== undefined),",
    breaks: "a device takes what bears no good signature",
  },
  {
    name: "signature-of-anybody",
    file: "workers/keys/verify-head.ts",
    find: "if (value.device !== deviceIdOfKey(value.key)) return false;",
    replace: "",
    breaks: "any good signature will do, whoever made it",
  },
  {
    name: "clock-sample-reversed",
    file: "machines/record/clock-offset.ts",
    find: "(receivedMs - sentMs + (answeredMs - returnedMs)) / 2",
    replace: "(sentMs - receivedMs + (returnedMs - answeredMs)) / 2",
    breaks: "the offset has the wrong sign",
  },
  {
    name: "worst-sample-used",
    file: "workers/store/clock-watch.ts",
    find: "(a, b) => a.roundTripMs - b.roundTripMs",
    replace: "(a, b) => b.roundTripMs - a.roundTripMs",
    breaks: "of several samples the worst is used",
  },
  {
    name: "old-samples-kept",
    file: "workers/store/clock-watch.ts",
    find: "const kept = link.samples.filter((one) => agree(one, sample));",
    replace: "const kept = link.samples.filter((one) => one.roundTripMs >= 0);",
    breaks: "samples from before the clock was set are kept",
  },
];

// Locks that hold over all windows and workers of the app on this device.
//
// They keep work from being done twice and out of turn; they are not what keeps the record whole.
// That is the transaction alone, for a browser may have no locks, or lose them.

/** Waits for its turn under a name and does the work. Errors: the work's. */
export async function inTurn<Result>(name: string, work: () => Promise<Result>): Promise<Result> {
  const locks = platformLocks();
  if (locks === undefined) return inTurnHere(name, work);
  return locks.request(lockName(name), work);
}

/**
 * Holds a name, once it is free, until the signal aborts; meanwhile does the work.
 *
 * Errors: none of its own; the work's.
 */
export async function asLeader(
  name: string,
  signal: AbortSignal,
  work: (signal: AbortSignal) => Promise<void>,
): Promise<void> {
  const locks = platformLocks();
  if (locks === undefined) return work(signal);
  try {
    await locks.request(lockName(name), { signal }, () => work(signal));
  } catch (cause) {
    if (!signal.aborted) throw cause;
  }
}

function platformLocks(): LockManager | undefined {
  return typeof navigator === "undefined" ? undefined : navigator.locks;
}

function lockName(name: string): string {
  return `lanehold:${name}`;
}

// Where the platform has no locks: turns within this window or worker.
const turnsHere = new Map<string, Promise<unknown>>();

async function inTurnHere<Result>(name: string, work: () => Promise<Result>): Promise<Result> {
  const before = turnsHere.get(name) ?? Promise.resolve();
  const turn = before.then(work, work);
  turnsHere.set(name, turn);
  try {
    return await turn;
  } finally {
    if (turnsHere.get(name) === turn) turnsHere.delete(name);
  }
}

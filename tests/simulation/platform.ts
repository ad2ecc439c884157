// The platform under the product while a schedule is played: random bytes come from the seed, and
// what Node does slowly is done fast. All of it lies outside of the product.
//
// [platform 1] Random bytes, and so ids, tokens and codes, come from the seed alone.
// [platform 2] A task runs after every microtask that was there before it, as in a browser: it is put
//   off until the microtasks are done, twice, without a turn of Node's event loop.
// [platform 3] A clone of plain objects, arrays and scalars is one that `structuredClone` would give;
//   anything else goes to that.
// [platform 4] Signing and verifying are true ECDSA, but done at once and not on another thread, so that
//   nothing depends on which of two comes first; what was verified once is known.

import { KeyObject, sign, verify } from "node:crypto";
import type { SeededRandom } from "../../machines/base/seeded-random.ts";

/**
 * Does work on this platform and puts the real one back.
 *
 * Errors: the work's.
 */
export async function onSimulatedPlatform<Result>(
  random: SeededRandom,
  work: () => Promise<Result>,
): Promise<Result> {
  verifiedByKey = new WeakMap();
  const replaced = [
    replace(crypto, "getRandomValues", fillerFrom(random)),
    replace(globalThis, "setImmediate", createTasks()),
    replace(globalThis, "structuredClone", clone),
    replace(crypto, "subtle", quickSubtle),
  ];
  try {
    return await work();
  } finally {
    for (const putBack of replaced) putBack();
  }
}

function replace(object: object, name: string, value: unknown): () => void {
  const before = Object.getOwnPropertyDescriptor(object, name);
  Object.defineProperty(object, name, { value, configurable: true, writable: true });
  return () => {
    if (before === undefined) Reflect.deleteProperty(object, name);
    else Object.defineProperty(object, name, before);
  };
}

function fillerFrom(random: SeededRandom): (bytes: Uint8Array) => Uint8Array {
  return (bytes) => {
    for (const index of bytes.keys()) bytes[index] = random.nextBelow(256);
    return bytes;
  };
}

// Instead of setImmediate, by which the simulated disk takes its turns.
function createTasks(): (task: () => void) => void {
  const tasks: (() => void)[] = [];
  let isRunning = false;
  const wait = (): void => {
    // A tick that is asked for in a microtask runs when no microtask is left.
    queueMicrotask(() => process.nextTick(runNext));
  };
  const runNext = (): void => {
    const task = tasks.shift();
    isRunning = tasks.length > 0;
    if (isRunning) wait();
    task?.();
  };
  return (task) => {
    tasks.push(task);
    if (isRunning) return;
    isRunning = true;
    wait();
  };
}

type Bytes = Uint8Array<ArrayBuffer>;

const quickActs = {
  async sign(_: unknown, key: CryptoKey, bytes: Bytes): Promise<ArrayBuffer> {
    const signature = sign("sha256", bytes, { key: KeyObject.from(key), dsaEncoding });
    return new Uint8Array(signature).buffer;
  },
  async verify(_: unknown, key: CryptoKey, signature: Bytes, bytes: Bytes): Promise<boolean> {
    const known = verifiedByKey.get(key) ?? new Map<string, boolean>();
    verifiedByKey.set(key, known);
    const name = `${Buffer.from(signature).toString("latin1")}${Buffer.from(bytes).toString("latin1")}`;
    const before = known.get(name);
    if (before !== undefined) return before;
    const isGood = verify("sha256", bytes, { key: KeyObject.from(key), dsaEncoding }, signature);
    known.set(name, isGood);
    return isGood;
  },
};

const dsaEncoding = "ieee-p1363" as const;
let verifiedByKey = new WeakMap<CryptoKey, Map<string, boolean>>();

const quickSubtle = new Proxy(crypto.subtle, {
  get(subtle, name) {
    if (name === "sign" || name === "verify") return quickActs[name];
    const act: unknown = Reflect.get(subtle, name, subtle);
    return typeof act === "function" ? act.bind(subtle) : act;
  },
});

const cloneOf = structuredClone;

function clone(value: unknown): unknown {
  if (typeof value !== "object" || value === null) {
    return typeof value === "function" || typeof value === "symbol" ? cloneOf(value) : value;
  }
  if (Array.isArray(value)) return value.map(clone);
  const prototype: unknown = Object.getPrototypeOf(value);
  if (prototype !== Object.prototype && prototype !== null) return cloneOf(value);
  const copy: Record<string, unknown> = {};
  for (const [name, member] of Object.entries(value)) copy[name] = clone(member);
  return copy;
}

import { IDBFactory as RealFactory, IDBObjectStore as RealStore } from "fake-indexeddb";
import { afterEach, expect, test, vi } from "vitest";
import { createDeviceKey } from "../../../../workers/keys/device-key.ts";
import { probeKey } from "../../../../workers/keys/probe-key.ts";

afterEach(() => {
  vi.restoreAllMocks();
});

test("[probe-key 1], [probe-key 3] a browser that keeps keys says so, and nothing is left", async () => {
  const factory = new RealFactory();
  const opened = vi.spyOn(factory, "open");
  expect(await probeKey(factory)).toEqual({ keeps: true });
  expect(opened).toHaveBeenCalledTimes(2);
  expect(await factory.databases()).toEqual([]);
});

test("[probe-key 1] two probes at once do not disturb each other", async () => {
  const factory = new RealFactory();
  const probes = await Promise.all([probeKey(factory), probeKey(factory), probeKey(factory)]);
  expect(probes).toEqual([{ keeps: true }, { keeps: true }, { keeps: true }]);
  expect(await factory.databases()).toEqual([]);
});

const { privateKey: otherKey } = await createDeviceKey();

test.each([
  {
    says: "refuses keys",
    reason: "key-refused",
    store: () => {
      throw new DOMException("A key could not be cloned.", "DataCloneError");
    },
  },
  { says: "stores null", reason: "key-lost", store: () => null },
  { says: "stores an empty object", reason: "key-dead", store: () => ({}) },
  { says: "stores another key", reason: "key-dead", store: () => otherKey },
])("[probe-key 2], [probe-key 3] a browser that $says", async ({ reason, store }) => {
  const factory = new RealFactory();
  // Adding is as good as putting here, and is left as it is.
  vi.spyOn(RealStore.prototype, "put").mockImplementation(function (this: IDBObjectStore, _, key) {
    return this.add(store(), key);
  });
  await expectReason(factory, reason);
  expect(await factory.databases()).toEqual([]);
});

test("[probe-key 2] a browser without a database", async () => {
  await expectReason(undefined, "no-storage");
});

test("[probe-key 2] a browser whose database does not open", async () => {
  const factory = new RealFactory();
  vi.spyOn(factory, "open").mockImplementation(() => {
    throw new DOMException("Not here.", "SecurityError");
  });
  await expectReason(factory, "no-storage");
});

test("[probe-key 2] a browser that forgets a database once it is closed", async () => {
  const factory = new RealFactory();
  const open = factory.open.bind(factory);
  vi.spyOn(factory, "open")
    .mockImplementationOnce((name, version) => open(name, version))
    .mockImplementationOnce((name, version) => new RealFactory().open(name, version));
  await expectReason(factory, "key-lost");
});

test("[probe-key 4] a browser whose database never answers", async () => {
  const factory = new RealFactory();
  const never = { addEventListener: () => {} } as unknown as ReturnType<typeof factory.open>;
  vi.spyOn(factory, "open").mockReturnValue(never);
  vi.spyOn(factory, "deleteDatabase").mockReturnValue(never);
  expect(await probeKey(factory, 300)).toMatchObject({ keeps: false, reason: "no-answer" });
});

async function expectReason(factory: IDBFactory | undefined, reason: string): Promise<void> {
  const probe = await probeKey(factory);
  expect(probe).toMatchObject({ keeps: false, reason });
  if (probe.keeps) throw new Error("the probe failed");
  expect(probe.says).toMatch(/^This browser.*\.$/);
  expect(probe.mend).toMatch(/\.$/);
}

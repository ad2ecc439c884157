// How much room this device has, and whether the browser may take it back.
//
// [storage-room 1] What the browser does not tell is null, never a guess.

/** What the browser says of its storage; null: it does not say. */
export type StorageRoom = {
  readonly usedBytes: number | null;
  readonly quotaBytes: number | null;
  /** True: the browser keeps the store until a person deletes it. */
  readonly persisted: boolean | null;
};

/** What the browser says of its storage now. Errors: none; what it does not tell is null. */
export async function readStorageRoom(storage: StorageManager | undefined): Promise<StorageRoom> {
  if (storage === undefined) return { usedBytes: null, quotaBytes: null, persisted: null };
  const [estimate, persisted] = await Promise.all([
    storage.estimate().catch(() => null),
    storage.persisted().catch(() => null),
  ]);
  return {
    usedBytes: estimate?.usage ?? null,
    quotaBytes: estimate?.quota ?? null,
    persisted,
  };
}

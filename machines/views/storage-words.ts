// How much is stored on a device, in words.

/** What a browser tells of its room; null: it does not say. */
export type RoomTold = { readonly usedBytes: number | null; readonly quotaBytes: number | null };

/** "1.2 MB used of 4.0 GB that the browser allows." Decimal: 1 MB is 1,000,000 bytes, as in the SI. */
export function storageWords({ usedBytes, quotaBytes }: RoomTold): string {
  if (usedBytes === null) return "The browser does not say how much is used.";
  const used = `${megabytes(usedBytes)} used`;
  return quotaBytes === null
    ? `${used}.`
    : `${used} of ${megabytes(quotaBytes)} that the browser allows.`;
}

function megabytes(bytes: number): string {
  const count = bytes / 1_000_000;
  if (count < 10) return `${count.toFixed(1)} MB`;
  if (count < 1000) return `${Math.round(count)} MB`;
  return `${(count / 1000).toFixed(1)} GB`;
}

// Where trouble goes that no person asked about: the browser's console, for whoever looks into it.

/** Tells the console what failed in the background, and why. */
export function tellConsole(says: string, cause: unknown): void {
  // oxlint-disable-next-line no-console -- the one place of page and service worker
  console.error(says, cause);
}

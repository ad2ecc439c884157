// Debian's Chromium, driven by playwright-core. Devices that only talk to each other share one browser,
// each in a context of its own; one that is closed or killed has a profile folder of its own, and is
// opened again with what it had stored.

import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { chromium } from "playwright-core";
import type { Browser, BrowserContext } from "playwright-core";

/** What every browser of the tests is started with. */
export const chromiumFlags: readonly string[] = [
  "--no-sandbox",
  "--disable-gpu",
  "--disable-quic",
  "--no-first-run",
  "--disable-background-networking",
  "--disable-component-update",
  "--disable-sync",
];

/** Where the browser is; a contributor's own may be named in the environment. */
export const chromiumPath = process.env["LANEHOLD_CHROMIUM"] ?? "/usr/bin/chromium";

/** A browser for several devices. `flags`: besides those that every browser gets. */
export function launchBrowser(flags: readonly string[] = []): Promise<Browser> {
  return chromium.launch({
    executablePath: chromiumPath,
    headless: true,
    args: [...chromiumFlags, ...flags],
  });
}

/** A device in a shared browser: nothing that it stores is seen by the others. */
export function openContext(
  browser: Browser,
  options: ScreenOptions = {},
): Promise<BrowserContext> {
  return browser.newContext(screenOf(options));
}

/** A device's browser profile. */
export type Profile = {
  /** Opens the browser on this profile. */
  readonly open: (options?: ScreenOptions) => Promise<BrowserContext>;
  readonly remove: () => void;
};

/** How the device's screen is. */
export type ScreenOptions = {
  readonly width?: number;
  readonly height?: number;
  readonly theme?: "light" | "dark";
};

/** A new, empty profile. */
export function createProfile(): Profile {
  const folder = mkdtempSync(join(tmpdir(), "lanehold-device-"));
  return {
    open: (options = {}) =>
      chromium.launchPersistentContext(folder, {
        executablePath: chromiumPath,
        headless: true,
        args: [...chromiumFlags],
        ...screenOf(options),
      }),
    remove: () => rmSync(folder, { recursive: true, force: true }),
  };
}

function screenOf({ width = 1180, height = 820, theme = "light" }: ScreenOptions) {
  return { viewport: { width, height }, colorScheme: theme, acceptDownloads: true } as const;
}

// Debian's Chromium, driven by playwright-core. One profile folder a device, so that a device can be
// closed, killed and opened again with what it had stored.

import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { chromium } from "playwright-core";
import type { BrowserContext } from "playwright-core";

const flags = [
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
    open: ({ width = 1180, height = 820, theme = "light" } = {}) =>
      chromium.launchPersistentContext(folder, {
        executablePath: chromiumPath,
        headless: true,
        args: flags,
        viewport: { width, height },
        colorScheme: theme,
        acceptDownloads: true,
      }),
    remove: () => rmSync(folder, { recursive: true, force: true }),
  };
}

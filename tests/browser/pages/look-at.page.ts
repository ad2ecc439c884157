// Looking at a screen: a picture kept for people, and axe-core's verdict.

import { mkdirSync, readFileSync } from "node:fs";
import { createRequire } from "node:module";
import { join } from "node:path";
import type { Page } from "playwright-core";
import { projectFolder } from "../../support/source-files.ts";

/** Where pictures are kept; not in the tree. */
export const picturesFolder = join(projectFolder, ".build", "pictures");

const axeSource = readFileSync(
  createRequire(import.meta.url).resolve("axe-core/axe.min.js"),
  "utf8",
);

type AxeResult = {
  readonly violations: readonly {
    readonly id: string;
    readonly help: string;
    readonly nodes: readonly { readonly html: string; readonly failureSummary: string }[];
  }[];
};

/** Keeps a picture of the page as it is. */
export async function takePicture(page: Page, name: string): Promise<void> {
  mkdirSync(picturesFolder, { recursive: true });
  await page.screenshot({ path: join(picturesFolder, `${name}.png`), animations: "disabled" });
}

/** What axe-core finds wrong on the page, a line each; empty is good. */
export async function listViolations(page: Page): Promise<readonly string[]> {
  // Through the debugger, since the page's own policy allows no foreign script.
  await page.evaluate(axeSource);
  const found = await page.evaluate(async () =>
    (globalThis as unknown as { axe: { run: (options: object) => Promise<unknown> } }).axe.run({
      runOnly: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"],
    }),
  );
  return (found as AxeResult).violations.flatMap(({ id, help, nodes }) =>
    nodes.map((node) => `${id}: ${help}: ${node.html.slice(0, 160)} ${node.failureSummary}`),
  );
}

/** What lies outside the width of the screen; empty is good. */
export async function listOverflows(page: Page): Promise<readonly string[]> {
  return page.evaluate(() =>
    document.documentElement.scrollWidth > document.documentElement.clientWidth
      ? [`the page is ${document.documentElement.scrollWidth} px wide`]
      : [],
  );
}

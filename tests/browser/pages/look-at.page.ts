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

/** What is tapped in a run and is too small, or too near to another; empty is good. */
export async function listTightTargets(page: Page): Promise<readonly string[]> {
  return page.evaluate(() => {
    const targets = [
      ...document.querySelectorAll("main button, .hold-banner button, .frame__head button"),
    ]
      .map((element) => ({
        element,
        name: element.textContent ?? "",
        box: element.getBoundingClientRect(),
      }))
      .filter(({ element, box }) => box.width > 0 && element.checkVisibility());
    const small = targets
      .filter(({ box }) => box.width < 63.5 || box.height < 63.5)
      .map(({ name, box }) => `${name}: ${box.width} by ${box.height} px`);
    const near = targets.flatMap((a, at) =>
      targets.slice(at + 1).flatMap((b) => {
        // What stays in place, the head and the hold, lies over what scrolls under it.
        if (!a.element.closest("main") || !b.element.closest("main")) return [];
        const across = Math.max(a.box.left, b.box.left) - Math.min(a.box.right, b.box.right);
        const down = Math.max(a.box.top, b.box.top) - Math.min(a.box.bottom, b.box.bottom);
        const gap = Math.max(across, down);
        return gap < 15.5 ? [`${a.name} and ${b.name}: ${gap} px apart`] : [];
      }),
    );
    return [...small, ...near];
  });
}

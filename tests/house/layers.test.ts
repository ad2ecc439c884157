// Dependencies run one way: machines <- workers <- app, and within each as the house says.
// Definition: a folder's *allowance* lists the folders it may import besides itself.

import { posix } from "node:path";
import { expect, test } from "vitest";
import { readFiles } from "../support/source-files.ts";
import type { SourceFile } from "../support/source-files.ts";

const machineFoldersLeftToRight = [
  "base",
  "units",
  "procedure",
  "charts",
  "record",
  "sync",
  "plan",
  "time",
  "reach-back",
  "consumables",
  "light",
  "forecast",
  "replan",
  "learn",
  "views",
];

const workerAllowance: Readonly<Record<string, readonly string[]>> = {
  keys: [],
  store: ["keys"],
  link: ["keys", "store"],
  service: ["keys", "store", "link"],
  planner: ["keys", "store", "link"],
  hub: ["keys"],
};

const appGround = ["look", "parts", "live"];
const appDrawings = ["ladder", "site-map"];

test("[house 1] dependencies run machines <- workers <- app, and left to right within", () => {
  expect(layerFaults(readFiles(/^(app|workers|machines)\/.*\.tsx?$/))).toEqual([]);
});

test("[house 1] an import against the layers is found", () => {
  const bad: readonly [string, string][] = [
    ["machines/base/a.ts", "../units/b.ts"],
    ["machines/record/a.ts", "../../workers/store/b.ts"],
    ["workers/hub/a.ts", "../store/b.ts"],
    ["workers/store/a.ts", "../../app/live/b.ts"],
    ["app/lane/a.tsx", "../pair/b.tsx"],
    ["app/parts/a.tsx", "../ladder/b.tsx"],
    ["app/lane/a.tsx", "../../workers/service/b.ts"],
    ["machines/record/a.ts", "dexie"],
  ];
  for (const [path, from] of bad)
    expect(layerFaults([{ path, text: `import { x } from "${from}";` }]), path).toHaveLength(1);
  expect(
    layerFaults([{ path: "app/lane/a.tsx", text: 'import { x } from "../parts/b.tsx";' }]),
  ).toEqual([]);
});

function layerFaults(files: readonly SourceFile[]): readonly string[] {
  return files.flatMap(({ path, text }) =>
    importsOf(text)
      .filter((from) => !isAllowed(path, from))
      .map((from) => `${path} imports ${from}`),
  );
}

function importsOf(text: string): readonly string[] {
  return [...text.matchAll(/(?<![\w-])(?:from|import)\s*\(?\s*"([^"]+)"/g)].map(
    (match) => match[1] ?? "",
  );
}

function isAllowed(path: string, from: string): boolean {
  const [layer = ""] = path.split("/");
  if (!from.startsWith(".")) return layer !== "machines" || from.split("/")[0] === "xstate";
  const target = posix.join(posix.dirname(path), from);
  const [targetLayer = "", targetFolder = ""] = target.split("/");
  const folder = path.split("/")[1] ?? "";
  if (layer === "machines") return targetLayer === "machines" && isLeftOf(targetFolder, folder);
  if (targetLayer === "machines") return true;
  if (layer === "workers")
    return targetLayer === "workers" && isWithin(targetFolder, folder, workerAllowance[folder]);
  if (targetLayer === "workers") return ["store", "keys", "link"].includes(targetFolder);
  return isAllowedInApp(folder, targetFolder);
}

function isLeftOf(target: string, folder: string): boolean {
  const places = [target, folder].map((name) => machineFoldersLeftToRight.indexOf(name));
  const [targetPlace = -1, place = -1] = places;
  return targetPlace >= 0 && place >= 0 && targetPlace <= place;
}

function isWithin(target: string, folder: string, allowance: readonly string[] = []): boolean {
  return target === folder || allowance.includes(target);
}

function isAllowedInApp(folder: string, target: string): boolean {
  if (folder === target || folder.endsWith(".tsx")) return true;
  if (appGround.includes(folder)) return appGround.includes(target);
  if (appDrawings.includes(folder)) return appGround.includes(target);
  if (folder === "shell") return true;
  return [...appGround, ...appDrawings].includes(target);
}

// `npm run build`: the page, its service worker and the hub, into dist/. Any warning of the
// service worker's build is an error, since a file that is left out is missing offline.

import { readFile } from "node:fs/promises";
import { join } from "node:path";
import { build } from "vite";
import { injectManifest } from "workbox-build";
import { projectFolder } from "./set-up.mjs";

// Tests build too, and their NODE_ENV would make it a development build.
process.env.NODE_ENV = "production";
const appFolder = join(projectFolder, "dist/app");
const logLevel = "warn";

await buildPage();
await buildServiceWorker();
await buildHub();

async function buildPage() {
  await build({ configFile: join(projectFolder, "vite.config.ts"), logLevel });
}

async function buildServiceWorker() {
  const fileName = "service-worker.js";
  await build({
    configFile: false,
    root: projectFolder,
    publicDir: false,
    logLevel,
    define: { "process.env.NODE_ENV": '"production"' },
    build: {
      outDir: appFolder,
      emptyOutDir: false,
      target: ["chrome123", "firefox126", "safari17.5"],
      lib: {
        entry: join(projectFolder, "workers/service/main.ts"),
        formats: ["iife"],
        name: "laneholdService",
        fileName: () => fileName,
      },
    },
  });
  const { count, size, warnings } = await injectManifest({
    swSrc: join(appFolder, fileName),
    swDest: join(appFolder, fileName),
    globDirectory: appFolder,
    globPatterns: ["**/*.{html,js,css,svg,png,webmanifest,woff2}"],
    globIgnores: [fileName],
    // The build has put a digest into these names.
    dontCacheBustURLsMatching: /assets\/.+-[\w-]{8}\.\w+$/,
  });
  if (warnings.length > 0) throw new Error(`The list of the app's files: ${warnings.join("; ")}`);
  if (count === 0) throw new Error("The list of the app's files is empty.");
  console.log(`dist/app: ${count} files for offline, ${(size / 1024).toFixed(0)} KiB`);
}

async function buildHub() {
  const { dependencies } = JSON.parse(await readFile(join(projectFolder, "package.json"), "utf8"));
  if (!("better-sqlite3" in dependencies)) throw new Error("The hub's database driver is missing.");
  await build({
    configFile: false,
    root: projectFolder,
    publicDir: false,
    logLevel,
    build: {
      ssr: join(projectFolder, "workers/hub/main.ts"),
      outDir: join(projectFolder, "dist/hub"),
      emptyOutDir: true,
      target: "node20",
      rolldownOptions: { output: { entryFileNames: "main.js" } },
    },
    // All but the driver, which is compiled for the machine, goes into the one file.
    ssr: { noExternal: true, external: ["better-sqlite3"] },
  });
  console.log("dist/hub: main.js");
}

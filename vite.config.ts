// Builds the page. The service worker and the hub are built by `.ci/build.mjs`, which uses this too.

import { preact } from "@preact/preset-vite";
import { defineConfig } from "vite";

export default defineConfig({
  root: "app",
  publicDir: "public",
  plugins: [preact()],
  build: {
    outDir: "../dist/app",
    emptyOutDir: true,
    // The oldest browsers with all that the app needs: strict transactions, locks, light-dark colours.
    target: ["chrome123", "firefox126", "safari17.5"],
    // One file each: a part that is loaded later could be missing when there is no network.
    cssCodeSplit: false,
    modulePreload: false,
  },
  // The planner; one file too, in the list of what is there offline.
  worker: {
    format: "es",
    rolldownOptions: { output: { entryFileNames: "assets/planner-[hash].js" } },
  },
});

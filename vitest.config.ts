import { defineConfig } from "vitest/config";

// One project for each kind of test; `tests` in DEVELOPERS.md says what each is for.
const projects = [
  { name: "unit", minutes: 2 },
  { name: "published", minutes: 2 },
  { name: "simulation", minutes: 5 },
  { name: "house", minutes: 3 },
  { name: "browser", minutes: 5 },
  { name: "kill", minutes: 5 },
];

// These start real hubs and real browsers: one file at a time, after a build.
const onTheBuild = new Set(["browser", "kill"]);

export default defineConfig({
  test: {
    projects: projects.map(({ name, minutes }) => ({
      test: {
        name,
        include: [`tests/${name}/**/*.test.{ts,tsx}`],
        testTimeout: minutes * 60_000,
        hookTimeout: 120_000,
        ...(onTheBuild.has(name)
          ? { fileParallelism: false, globalSetup: ["tests/support/build-once.ts"] }
          : {}),
      },
    })),
  },
});

import { expect, test } from "vitest";
import type { RunId } from "../../../../machines/record/ids.ts";
import { isLoopbackOrigin, joinLink, readJoinLink } from "../../../../machines/sync/join-link.ts";

const run = "abcdefghijklmnopqrstuvwxyz.bcdf234567jkl" as RunId;
const origin = "https://hub.example:8443";

test("[join-link 1] nothing of the invitation stands before the #", () => {
  const [before, after] = joinLink(origin, "BCDF-GHJK", run).split("#");
  expect(before).toBe(`${origin}/`);
  expect(after).toContain("BCDF-GHJK");
  expect(after).toContain(run);
});

test.each([
  [joinLink(origin, "BCDF-GHJK", run), origin],
  [joinLink("HTTPS://Hub.example", "bcdfghjk", run), "https://hub.example"],
  [`#join=BCDF-GHJK&run=${run}`, null],
  [` ${joinLink(origin, "BCDF-GHJK", run)}\n`, origin],
])("[join-link 2] %s names code, run and hub", (text, from) => {
  expect(readJoinLink(text)).toEqual({ origin: from, code: "BCDF-GHJK", run });
});

test.each([
  "",
  "https://hub.example/",
  "BCDF-GHJK",
  `javascript:alert(1)#join=BCDF-GHJK&run=${run}`,
  `https://hub.example/elsewhere#join=BCDF-GHJK&run=${run}`,
  `${origin}/#join=BCDF-GHJA&run=${run}`,
  `${origin}/#join=BCDF-GHJ&run=${run}`,
  `${origin}/#join=BCDF-GHJK&run=`,
  `${origin}/#join=BCDF-GHJK&run=run-without-root`,
  `${origin}/#join=BCDF-GHJK&run=.letters`,
  `${origin}/#join=BCDF-GHJK&run=${run}%`,
  `${origin}/#join=BCDF-GHJK&run=${run}&more=1`,
])("[join-link 3] %s is no link", (text) => {
  expect(readJoinLink(text)).toBeNull();
});

test.each([
  ["http://127.0.0.1:8787", true],
  ["http://127.8.9.1", true],
  ["http://localhost:8787", true],
  ["http://desk.localhost", true],
  ["https://[::1]:8443", true],
  ["https://hub.example:8443", false],
  ["https://192.168.1.20:8443", false],
  ["https://localhost.example", false],
  ["https://127.0.0.1.example", false],
])("[join-link 4] %s is reached by its own machine only: %s", (address, isLoopback) => {
  expect(isLoopbackOrigin(address)).toBe(isLoopback);
});

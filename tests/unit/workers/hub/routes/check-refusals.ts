// Asking what the hub refuses: each with a clear message, and nothing changed.

import { expect } from "vitest";
import { aHub, letIn, openRun, push, refusalOf, run } from "../a-hub.ts";
import type { AskOptions } from "../a-hub.ts";
import { note } from "../incoming-entries.ts";

/** Where entries are sent and fetched. */
export const entriesPath = `/api/runs/${run}/entries`;

/** A request that is refused, and how. */
export type Case = {
  readonly what: string;
  readonly method?: string;
  readonly path?: string;
  readonly options: AskOptions;
  readonly status: number;
  readonly code: string;
  readonly fault?: { readonly path: string; readonly code: string };
};

/** Asks, and sees the refusal and an unchanged file. */
export async function check(
  makeCases: (hub: ReadyHub) => readonly Case[] | Promise<readonly Case[]>,
): Promise<void> {
  const hub = await readyHub();
  const before = hub.testHub.dump();
  const cases = await makeCases(hub);
  for (const { what, method = "POST", path = entriesPath, options, ...refused } of cases) {
    const answer = await hub.testHub.ask(method, path, options);
    expect(answer.status, what).toBe(refused.status);
    const refusal = await refusalOf(answer);
    expect(refusal.code, what).toBe(refused.code);
    expect(refusal.says.length, what).toBeGreaterThan(20);
    expect(refusal.mend.length, what).toBeGreaterThan(10);
    if (refused.fault === undefined) expect(refusal.faults, what).toEqual([]);
    else expect(refusal.faults, what).toContainEqual(expect.objectContaining(refused.fault));
  }
  expect(hub.testHub.dump()).toBe(before);
}

/** What a case asks. */
export type ReadyHub = Awaited<ReturnType<typeof readyHub>>;

/** A hub with a run, its director and a crew device, each with one entry. */
export async function readyHub() {
  const testHub = await aHub();
  const director = await openRun(testHub);
  const crew = await letIn(testHub, director, { role: "crew", lane: "ev1" });
  await push(testHub, director, director.write(note("one")));
  await push(testHub, crew, crew.write(note("one")));
  return { testHub, director, crew };
}

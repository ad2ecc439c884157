// Entries about injects.
//
// [fold-injects 1] What the inject chart does not take is a variance and is applied as what
//   happened.
// [fold-injects 2] A response that was entered before the inject was fired, in the order, is kept.

import { nextState } from "../charts/chart-table.ts";
import { injectTable } from "../charts/inject.chart.ts";
import type { InjectId } from "../procedure/ids.ts";
import type { EntryBody } from "./entry.ts";
import { noteVariance } from "./note-variance.ts";
import { injectToWrite } from "./run-in-fold.ts";
import type { InjectAct, InjectInFold, Outcome, RunInFold, Turn } from "./run-in-fold.ts";

type InjectBody = Extract<EntryBody, { readonly kind: `inject.${string}` }>;

/** Folds an entry about an inject. */
export function foldInject(runMutable: RunInFold, turn: Turn, body: InjectBody): Outcome {
  const inject = injectOf(runMutable, body.inject);
  if (!isProper(inject, body)) noteVariance(runMutable, turn, "out-of-order");
  const act = { name: turn.name, position: turn.entry.position, atMs: turn.atMs, body };
  inject.acts.push(act);
  applyInjectAct(inject, act);
  return "applied";
}

/** What an inject has come to without an act that was taken out of its acts. */
export function refoldInject(injectMutable: InjectInFold): void {
  const reopened = nextState(injectTable, injectMutable.state, { type: "inject.reopened" });
  injectMutable.state = reopened ?? injectTable.initial;
  injectMutable.facts = noFacts;
  injectMutable.responses.length = 0;
  for (const act of injectMutable.acts) applyInjectAct(injectMutable, act);
}

const noFacts: InjectInFold["facts"] = {
  name: "",
  card: "",
  shownTo: [],
  liveAtMs: null,
  grade: null,
  remark: "",
  clearedAtMs: null,
};

function injectOf(runMutable: RunInFold, id: InjectId): InjectInFold {
  const known = injectToWrite(runMutable, id);
  if (known !== undefined) return known;
  const inject: InjectInFold = {
    owner: runMutable.owner,
    acts: [],
    state: injectTable.initial,
    facts: noFacts,
    responses: [],
  };
  runMutable.injects.set(id, inject);
  return inject;
}

function isProper(inject: InjectInFold, body: InjectBody): boolean {
  if (body.kind === "inject.graded") return inject.facts.liveAtMs !== null;
  return nextState(injectTable, inject.state, { type: body.kind, forced: false }) !== undefined;
}

function applyInjectAct(injectMutable: InjectInFold, act: InjectAct): void {
  const { body } = act;
  if (body.kind !== "inject.graded") {
    const event = { type: body.kind, forced: true } as const;
    injectMutable.state = nextState(injectTable, injectMutable.state, event) ?? injectMutable.state;
  }
  if (body.kind === "inject.responded") {
    const { name: by, position, atMs } = act;
    injectMutable.responses.push({ by, position, atMs, text: body.text });
  }
  injectMutable.facts = { ...injectMutable.facts, ...factsOf(act) };
}

function factsOf({ body, atMs }: InjectAct): Partial<InjectInFold["facts"]> {
  switch (body.kind) {
    case "inject.armed":
    case "inject.responded":
      return {};
    case "inject.fired":
      return {
        name: body.name,
        card: body.card,
        shownTo: body.shownTo,
        liveAtMs: atMs,
        clearedAtMs: null,
      };
    case "inject.graded":
      return { grade: body.grade, remark: body.remark };
    case "inject.cleared":
      return { clearedAtMs: atMs };
  }
}

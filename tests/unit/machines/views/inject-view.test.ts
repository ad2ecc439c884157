import { expect, test } from "vitest";
import type { InjectId, PositionId, StepId } from "../../../../machines/procedure/ids.ts";
import type { Inject, InjectScript } from "../../../../machines/procedure/inject-script.ts";
import { injectViews } from "../../../../machines/views/inject-view.ts";
import { aProcedure } from "../../../support/a-procedure.ts";
import { tappedRun } from "../../../support/tapped-run.ts";
import type { TappedRun } from "../../../support/tapped-run.ts";

const lostLoop: Inject = {
  id: "lost-loop" as InjectId,
  name: "Lost voice loop",
  card: "You hear nothing.",
  shownTo: ["ev1" as PositionId],
  playing: "Mute EV1.",
  suggestedTrigger: { step: "ev1-to-rack" as StepId },
  holds: { lane: "ev1" as PositionId },
  expectedResponse: [
    { by: "ev1" as PositionId, text: "Taps the helmet.", withinSeconds: 60 },
    { by: "iv" as PositionId, text: "Calls a hold.", withinSeconds: null },
  ],
};

const later: Inject = {
  ...lostLoop,
  id: "later" as InjectId,
  name: "Later",
  suggestedTrigger: { atSeconds: 30 },
  holds: null,
};

const script: InjectScript = {
  format: "lanehold.inject-script",
  formatVersion: 1,
  title: "Cases",
  procedureId: "bracket-swap",
  injects: [lostLoop, later],
};

function views(run: TappedRun, known: InjectScript | null = script) {
  return injectViews(run.index, known, run.state(), run.nowMs());
}

function fire(run: TappedRun, inject: string, name: string): void {
  const shownTo = ["ev1" as PositionId];
  run.tap("desk", {
    kind: "inject.fired",
    inject: inject as InjectId,
    name,
    card: "As fired.",
    shownTo,
  });
}

test("[inject-view 1] cases of script and record are there once, live ones first", () => {
  const run = tappedRun(aProcedure());
  fire(run, "typed-1", "On the spot");
  expect(views(run).map((view) => [view.inject, view.state])).toEqual([
    ["typed-1", "live"],
    ["lost-loop", "scripted"],
    ["later", "scripted"],
  ]);
  fire(run, "lost-loop", "Lost loop, as fired");
  run.tap("desk", { kind: "inject.cleared", inject: "typed-1" as InjectId });
  expect(views(run).map((view) => [view.name, view.state, view.card])).toEqual([
    ["Lost loop, as fired", "live", "As fired."],
    ["Later", "scripted", "You hear nothing."],
    ["On the spot", "cleared", "As fired."],
  ]);
});

test("[inject-view 1] without a script only what the record tells is there", () => {
  const run = tappedRun(aProcedure());
  expect(views(run, null)).toEqual([]);
  fire(run, "lost-loop", "Lost loop");
  expect(views(run, null)[0]).toMatchObject({ playing: null, expected: [], trigger: null });
});

test("[inject-view 2] a case is due once its step is worked, or its time has come", () => {
  const run = tappedRun(aProcedure());
  const due = () =>
    views(run)
      .filter((view) => view.isDue)
      .map((view) => view.inject);
  expect(due()).toEqual([]);
  run.tap("desk", { kind: "step.started", step: "ev1-to-rack" as StepId }, "ev1");
  expect(due()).toEqual(["lost-loop"]);
  run.wait(30);
  expect(due()).toEqual(["lost-loop", "later"]);
  fire(run, "lost-loop", "Lost loop");
  expect(due()).toEqual(["later"]);
});

test("what is expected, what came and after how long stand together", () => {
  const run = tappedRun(aProcedure());
  run.join("tablet-1", "crew", "ev1");
  fire(run, "lost-loop", "Lost loop");
  run.wait(19);
  const inject = "lost-loop" as InjectId;
  run.tap("tablet-1", { kind: "inject.responded", inject, text: "Taps the helmet." }, "ev1");
  run.tap("desk", { kind: "inject.graded", inject, grade: "partly-met", remark: "Slow." });
  const [view] = views(run);
  expect(view).toMatchObject({
    shownToWords: "EV1",
    holdsWords: "Holds lane EV1",
    trigger: "at EV1 step 1",
    grade: "partly-met",
    remark: "Slow.",
    responses: [{ from: "EV1 (tablet-1 tablet)", text: "Taps the helmet.", afterSeconds: 20 }],
  });
});

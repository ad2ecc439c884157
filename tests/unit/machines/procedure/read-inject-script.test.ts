import { expect, test } from "vitest";
import type { PositionId, StepId } from "../../../../machines/procedure/ids.ts";
import {
  injectScriptFaults,
  readInjectScript,
} from "../../../../machines/procedure/read-inject-script.ts";
import { aProcedure } from "../../../support/a-procedure.ts";
import { anInject, anInjectScript } from "../../../support/an-inject-script.ts";

function check(document: unknown, faults: [code: string, path: string][]): void {
  const reading = readInjectScript(JSON.stringify(document));
  expect(reading.script).toBeNull();
  expect(reading.faults.map(({ code, path }) => [code, path])).toEqual(faults);
}

test("[read-inject-script 1] what comes out is what stood in the text", () => {
  expect(readInjectScript(JSON.stringify(anInjectScript(), null, 2))).toEqual({
    script: anInjectScript(),
    faults: [],
  });
});

test("[read-inject-script 2] all faults come out at once", () => {
  const [first] = anInjectScript().injects;
  check(
    {
      ...anInjectScript(),
      title: "",
      injects: [
        { ...first, shownTo: [], holds: "nobody" },
        { ...first, holds: 3, suggestedTrigger: { byHand: false } },
        { ...first, expectedResponse: [{ by: "ev1", text: "Waits.", withinSeconds: 0 }] },
      ],
    },
    [
      ["empty-text", "/title"],
      ["too-few", "/injects/0/shownTo"],
      ["not-this-value", "/injects/0/holds"],
      ["not-this-value", "/injects/1/suggestedTrigger/byHand"],
      ["wrong-type", "/injects/1/holds"],
      ["out-of-range", "/injects/2/expectedResponse/0/withinSeconds"],
      ["doubled-id", "/injects/1/id"],
      ["doubled-id", "/injects/2/id"],
    ],
  );
});

test("[read-document 1] a procedure is no inject script", () => {
  check(aProcedure(), [["wrong-format", "/format"]]);
});

test("[read-document 1] a newer version is refused whole", () => {
  check({ ...anInjectScript(), formatVersion: 2, title: "" }, [
    ["newer-version", "/formatVersion"],
  ]);
});

test("[read-inject-script 4] a script that fits its procedure has no faults against it", () => {
  expect(injectScriptFaults(anInjectScript(), aProcedure())).toEqual([]);
});

test("[read-inject-script 4] lanes and steps that the procedure has not are found", () => {
  const nobody = "ev9" as PositionId;
  const script = anInjectScript({
    procedureId: "another",
    injects: [
      anInject("a", {
        shownTo: [nobody],
        suggestedTrigger: { step: "no-step" as StepId },
        holds: { lane: nobody },
        expectedResponse: [{ by: nobody, text: "Waits.", withinSeconds: null }],
      }),
    ],
  });
  const faults = injectScriptFaults(script, aProcedure());
  expect(faults.map(({ code, path }) => [code, path])).toEqual([
    ["other-procedure", "/procedureId"],
    ["unknown-position", "/injects/0/shownTo/0"],
    ["unknown-step", "/injects/0/suggestedTrigger/step"],
    ["unknown-position", "/injects/0/holds/lane"],
    ["unknown-position", "/injects/0/expectedResponse/0/by"],
  ]);
});

import { expect, test } from "vitest";
import { readProcedure } from "../../../../machines/procedure/read-procedure.ts";
import { aFullProcedure } from "../../../support/a-full-procedure.ts";
import { aProcedure } from "../../../support/a-procedure.ts";

// The full procedure with the member at a JSON Pointer set to a value; undefined removes it.
function withMember(pointer: string, value: unknown): string {
  const document: unknown = JSON.parse(JSON.stringify(aFullProcedure()));
  const names = pointer.split("/").slice(1);
  const last = names.pop() ?? "";
  const parent = names.reduce<unknown>(
    (at, name) => (at as Record<string, unknown>)[name],
    document,
  ) as Record<string, unknown>;
  if (value === undefined) delete parent[last];
  else parent[last] = value;
  return JSON.stringify(document);
}

const stepIndex = (id: string): number =>
  aFullProcedure().steps.findIndex((step) => step.id === id);
const torque = `/steps/${stepIndex("ev1-torque")}`;
const everything = `/steps/${stepIndex("everything")}`;
const seal = `/steps/${stepIndex("ev2-seal")}`;
const meet = `/steps/${stepIndex("ev2-meet")}`;

function check(pointer: string, value: unknown, faults: [code: string, path: string][]): void {
  const reading = readProcedure(withMember(pointer, value));
  expect(reading.procedure).toBeNull();
  expect(reading.faults.map(({ code, path }) => [code, path])).toEqual(faults);
  for (const { says, mend } of reading.faults) {
    expect(says).toMatch(/^.+\.$/);
    expect(mend).toMatch(/^.+\.$/);
  }
}

type Case = [pointer: string, value: unknown, code: string, path: string];

const shapeCases: Case[] = [
  ["/title", undefined, "missing-member", ""],
  ["/title", "  ", "empty-text", "/title"],
  ["/title", 7, "wrong-type", "/title"],
  ["/title", "\ud800", "broken-text", "/title"],
  ["/colour", "red", "unknown-member", "/colour"],
  ["/a~1b", 1, "unknown-member", "/a~01b"],
  ["/setting", "moon", "not-in-list", "/setting"],
  ["/positions", {}, "wrong-type", "/positions"],
  ["/steps", undefined, "missing-member", ""],
  ["/briefing/0/id", "bay 7", "wrong-form", "/briefing/0/id"],
  ["/sites/0/capacity", 1.5, "out-of-range", "/sites/0/capacity"],
  ["/sites/0/capacity", 0, "out-of-range", "/sites/0/capacity"],
  ["/tethers/0/anchorSites", [], "too-few", "/tethers/0/anchorSites"],
  ["/limits/runSecondsMax", -1, "out-of-range", "/limits/runSecondsMax"],
  [`${torque}/duration/minSeconds`, -5, "out-of-range", `${torque}/duration/minSeconds`],
  [`${torque}/effects/0/kind`, "item-lost", "not-in-list", `${torque}/effects/0/kind`],
  [`${torque}/gates/0/sort`, undefined, "missing-member", `${torque}/gates/0`],
  [`${torque}/fasteners/torque/unit`, "kg", "not-in-list", `${torque}/fasteners/torque/unit`],
  ["/displayUnits/mass", "m", "not-in-list", "/displayUnits/mass"],
  ["/positions/0/suit/oxygen/unit", "W", "not-in-list", "/positions/0/suit/oxygen/unit"],
  ["/items/0/startsAt", { room: "x" }, "missing-member", "/items/0/startsAt"],
  ["/items/0/startsAt", { site: "rack", item: "x" }, "unknown-member", "/items/0/startsAt/item"],
];

test.each(shapeCases)("[read-procedure 2] %s as %j is %s at %s", (pointer, value, code, path) => {
  check(pointer, value, [[code, path]]);
});

const referenceCases: Case[] = [
  ["/positions/0/startsAt", "nowhere", "unknown-site", "/positions/0/startsAt"],
  ["/paths/1/from", "nowhere", "unknown-site", "/paths/1/from"],
  ["/paths/3/closedWhile/0/hardware", "no", "unknown-hardware", "/paths/3/closedWhile/0/hardware"],
  ["/items/1/startsAt/item", "no-bag", "unknown-item", "/items/1/startsAt/item"],
  ["/items/1/mustEndAt/0", { site: "no" }, "unknown-site", "/items/1/mustEndAt/0/site"],
  ["/tethers/0/wornBy", "ev9", "unknown-position", "/tethers/0/wornBy"],
  ["/arms/0/tip", "no", "unknown-site", "/arms/0/tip"],
  ["/hardware/0/site", "no", "unknown-site", "/hardware/0/site"],
  [`${torque}/task`, "no", "unknown-task", `${torque}/task`],
  [`${torque}/site`, "no", "unknown-site", `${torque}/site`],
  [`${torque}/after/0`, "no", "unknown-step", `${torque}/after/0`],
  [`${torque}/needsWindows/0`, "no", "unknown-window", `${torque}/needsWindows/0`],
  [`${torque}/fasteners/tool`, "no", "unknown-item", `${torque}/fasteners/tool`],
  [`${torque}/gates/0/from`, "no", "unknown-position", `${torque}/gates/0/from`],
  [`${torque}/choice/branches/1/task`, "no", "unknown-task", `${torque}/choice/branches/1/task`],
  [`${torque}/requires/0/hardware`, "no", "unknown-hardware", `${torque}/requires/0/hardware`],
  [`${everything}/meet`, "no", "unknown-meet", `${everything}/meet`],
  [`${everything}/requires/1/item`, "no", "unknown-item", `${everything}/requires/1/item`],
  [
    `${everything}/requires/1/at/position`,
    "no",
    "unknown-position",
    `${everything}/requires/1/at/position`,
  ],
  [`${everything}/requires/4/arm`, "no", "unknown-arm", `${everything}/requires/4/arm`],
  [
    `${everything}/requires/5/position`,
    "no",
    "unknown-position",
    `${everything}/requires/5/position`,
  ],
  [`${everything}/effects/0/item`, "no", "unknown-item", `${everything}/effects/0/item`],
  [`${everything}/effects/1/to`, "no", "unknown-site", `${everything}/effects/1/to`],
  [`${everything}/effects/2/via/1`, "no", "unknown-path", `${everything}/effects/2/via/1`],
  [`${everything}/effects/3/tether`, "no", "unknown-tether", `${everything}/effects/3/tether`],
  [`${everything}/effects/5/item`, "no", "unknown-item", `${everything}/effects/5/item`],
  [
    `${everything}/effects/7/hardware`,
    "no",
    "unknown-hardware",
    `${everything}/effects/7/hardware`,
  ],
  [`${everything}/effects/8/arm`, "no", "unknown-arm", `${everything}/effects/8/arm`],
  ["/clocks/0/to/step", "no", "unknown-step", "/clocks/0/to/step"],
  ["/recurringChecks/0/positions/1", "no", "unknown-position", "/recurringChecks/0/positions/1"],
  ["/briefing/0/presenter", "no", "unknown-position", "/briefing/0/presenter"],
];

test.each(referenceCases)("[procedure 1] %s as %j is %s at %s", (pointer, value, code, path) => {
  check(pointer, value, [[code, path]]);
});

const senseCases: Case[] = [
  ["/sites/4/id", "shelf", "doubled-id", "/sites/4/id"],
  [`${torque}/gates/1/id`, "go", "doubled-id", `${torque}/gates/1/id`],
  [`${torque}/gates/1/id`, "warning-1", "id-of-hazard-gate", `${torque}/gates/1/id`],
  [`${torque}/gates/0/from`, "ev1", "go-from-own-lane", `${torque}/gates/0/from`],
  [`${torque}/duration/minSeconds`, 100, "duration-out-of-order", `${torque}/duration`],
  [`${torque}/duration/maxSeconds`, 80, "duration-out-of-order", `${torque}/duration`],
  [`${torque}/after/0`, "ev1-torque", "after-itself", `${torque}/after/0`],
  [`${torque}/after`, ["ev2-meet", "ev2-meet"], "doubled-entry", `${torque}/after/1`],
  [`${torque}/fasteners/tool`, "bracket", "no-tool", `${torque}/fasteners/tool`],
  [`${torque}/requires/0/state`, "half", "unknown-state", `${torque}/requires/0/state`],
  [
    `${torque}/choice/branches/1/task`,
    "come-in",
    "no-contingency-task",
    `${torque}/choice/branches/1/task`,
  ],
  [`${torque}/choice/branches/1/id`, "all-turned", "doubled-id", `${torque}/choice/branches/1/id`],
  [`${seal}/gates/0/max`, 90, "bounds-inverted", `${seal}/gates/0/max`],
  [`${meet}/meet`, null, "meet-of-one-lane", "/meets/0"],
  [`${torque}/meet`, "meet-1", "meet-twice-in-lane", `${torque}/meet`],
  [`${everything}/requires/4/at`, "shelf", "out-of-reach", `${everything}/requires/4/at`],
  [
    `${everything}/requires/5/inRestraint`,
    "driver",
    "no-foot-restraint",
    `${everything}/requires/5/inRestraint`,
  ],
  [
    `${everything}/effects/0/to`,
    { item: "driver" },
    "item-inside-itself",
    `${everything}/effects/0/to`,
  ],
  [`${everything}/effects/2/via`, [], "path-missing", `${everything}/effects/2/via`],
  [
    `${everything}/effects/2/via`,
    ["rack-post"],
    "path-does-not-join",
    `${everything}/effects/2/via/0`,
  ],
  [
    `${everything}/effects/2/via`,
    ["rack-shelf"],
    "path-does-not-join",
    `${everything}/effects/2/to`,
  ],
  [`${everything}/effects/3/at`, "shelf", "no-anchor-site", `${everything}/effects/3/at`],
  [`${everything}/effects/5/item`, "driver", "no-foot-restraint", `${everything}/effects/5/item`],
  [`${everything}/effects/7/state`, "half", "unknown-state", `${everything}/effects/7/state`],
  [`${everything}/effects/8/to`, "shelf", "out-of-reach", `${everything}/effects/8/to`],
  ["/positions/0/suit", null, "suit-missing", "/positions/0/suit"],
  ["/positions/2/suit", aProcedure().positions[0]?.suit, "suit-not-worn", "/positions/2/suit"],
  ["/paths/0/to", "hatch", "path-to-itself", "/paths/0/to"],
  ["/tethers/0/wornBy", "iv", "not-suited", "/tethers/0/wornBy"],
  ["/tethers/0/startsAnchoredAt", "shelf", "no-anchor-site", "/tethers/0/startsAnchoredAt"],
  ["/arms/0/tip", "rack", "no-arm-tip", "/arms/0/tip"],
  ["/arms/0/startsAt", "shelf", "out-of-reach", "/arms/0/startsAt"],
  ["/hardware/0/startsAs", "half", "unknown-state", "/hardware/0/startsAs"],
  ["/hardware/0/states", ["on", "off", "on"], "doubled-entry", "/hardware/0/states/2"],
  ["/clocks/0/atMostSeconds", null, "no-bound", "/clocks/0"],
  ["/clocks/0/atLeastSeconds", 9999, "bounds-inverted", "/clocks/0/atMostSeconds"],
  ["/clocks/0/to", { step: "iv-power-off", at: "done" }, "same-moment", "/clocks/0/to"],
  ["/windows/0/spans/0/toSeconds", 0, "bounds-inverted", "/windows/0/spans/0/toSeconds"],
  [
    "/windows/0/spans/1",
    { fromSeconds: 60, toSeconds: 90 },
    "spans-out-of-order",
    "/windows/0/spans/1/fromSeconds",
  ],
  ["/limits/reserveSeconds", 3600, "bounds-inverted", "/limits/reserveSeconds"],
  ["/recurringChecks/0/readings/0/max", 1, "bounds-inverted", "/recurringChecks/0/readings/0/max"],
];

test.each(senseCases)("[read-procedure 2] %s as %j: %s at %s", (pointer, value, code, path) => {
  const reading = readProcedure(withMember(pointer, value));
  expect(reading.procedure).toBeNull();
  expect(reading.faults.map((fault) => [fault.code, fault.path])).toContainEqual([code, path]);
});

test("[read-procedure 2] a bag inside its own content is found on every item of the ring", () => {
  check("/items/0/startsAt", { item: "driver" }, [
    ["item-inside-itself", "/items/0/startsAt"],
    ["item-inside-itself", "/items/1/startsAt"],
  ]);
});

test("[document-parts 1] [document-parts 2] a fault of shape hides no other and makes no id unknown", () => {
  const document = {
    ...aProcedure(),
    title: "",
    sites: aProcedure().sites.map((site) => (site.id === "rack" ? { ...site, capacity: 0 } : site)),
    limits: { runSecondsMax: 60, reserveSeconds: 60, hatchWithinSeconds: 60 },
  };
  const { faults } = readProcedure(JSON.stringify(document));
  expect(faults.map(({ code, path }) => [code, path])).toEqual([
    ["empty-text", "/title"],
    ["out-of-range", "/sites/1/capacity"],
    ["bounds-inverted", "/limits/reserveSeconds"],
  ]);
});

test("[procedure 1] two parts of one list with one id are found; of two lists they are not", () => {
  const { positions } = aProcedure();
  const document = { ...aProcedure(), positions: [...positions, ...positions.slice(0, 1)] };
  const { faults } = readProcedure(JSON.stringify(document));
  expect(faults.map(({ code, path }) => [code, path])).toEqual([["doubled-id", "/positions/3/id"]]);
});

const refusals: [text: string, code: string, path: string, says: RegExp][] = [
  ['{\n  "format" "x"}', "not-json", "", /line 2, column 12: a colon is due/],
  ["[]", "wrong-format", "", /not a document of the format "lanehold.procedure"/],
  ['{"format":"lanehold.inject-script"}', "wrong-format", "/format", /format/],
  ['{"format":"lanehold.procedure"}', "wrong-version", "/formatVersion", /version/],
  [withMember("/formatVersion", 0), "wrong-version", "/formatVersion", /version/],
  [withMember("/formatVersion", 2), "newer-version", "/formatVersion", /version 2 .* up to 1/],
  [
    withMember("/title", "").replace('"formatVersion":1', '"formatVersion":9'),
    "newer-version",
    "/formatVersion",
    /9/,
  ],
];

test.each(refusals)("[read-document 1] %j is refused whole", (text, code, path, says) => {
  const { procedure, faults } = readProcedure(text);
  expect(procedure).toBeNull();
  expect(faults).toMatchObject([{ code, path, says: expect.stringMatching(says) }]);
});

test("[read-procedure 1] what comes out is what stood in the text", () => {
  for (const document of [aProcedure(), aFullProcedure()]) {
    expect(readProcedure(JSON.stringify(document, null, 2))).toEqual({
      procedure: document,
      faults: [],
    });
  }
});

test("[procedure 2] a duration out of order is found on steps and on paths", () => {
  const inverted = { minSeconds: 9, likelySeconds: 5, maxSeconds: 1 };
  check(`${torque}/duration`, inverted, [["duration-out-of-order", `${torque}/duration`]]);
  check("/paths/1/duration", inverted, [["duration-out-of-order", "/paths/1/duration"]]);
});

test("[procedure 3] an effect is data of a known kind, never text", () => {
  check(`${torque}/effects/0`, "Move the bracket to the rack.", [
    ["wrong-type", `${torque}/effects/0`],
  ]);
});

test("[procedure 4] a quantity comes out in the unit and with the value that were typed", () => {
  const { procedure } = readProcedure(withMember(`${torque}/fasteners/torque/value`, 12.3));
  const step = procedure?.steps.find(({ id }) => id === "ev1-torque");
  expect(step?.fasteners?.torque).toEqual({ value: 12.3, unit: "ft·lbf" });
});

test("[read-procedure 4] steps that wait for each other are no fault of the document", () => {
  const { faults } = readProcedure(withMember(`${meet}/after`, ["ev2-seal"]));
  expect(faults).toEqual([]);
});

test("[inject-script 1] a procedure that carries injects is refused", () => {
  check("/injects", [], [["unknown-member", "/injects"]]);
});

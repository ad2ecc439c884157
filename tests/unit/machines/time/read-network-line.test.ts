import { expect, test } from "vitest";
import { judgeNetworks } from "../../../networks/judge-networks.ts";
import { readNetworkLine } from "../../../../machines/time/read-network-line.ts";

const good = {
  name: "small",
  points: 3,
  edges: [[0, 1, 5]],
  contingent: [[1, 2, 1, 3]],
  dynamicallyControllable: true,
};
const lags = { name: "jobs", duration: [0, 3, 0], startLags: [[0, 1, 2]], bounds: [5, 6] };

test("[network-line 1] a good line of either form is read", () => {
  expect(readNetworkLine(JSON.stringify({ ...good, note: "more" })).value).toEqual({
    form: "uncertain",
    name: "small",
    network: {
      points: 3,
      bounds: [{ from: 0, to: 1, seconds: 5 }],
      contingents: [{ activation: 1, end: 2, leastSeconds: 1, mostSeconds: 3 }],
    },
    knownControllable: true,
  });
  expect(readNetworkLine(JSON.stringify(lags)).value).toEqual({
    form: "lags",
    name: "jobs",
    network: { points: 3, bounds: [{ from: 1, to: 0, seconds: -2 }], contingents: [] },
    knownLengthSeconds: 6,
  });
});

test("[network-line 1] every fault of a line is found at once, and it has no value", () => {
  check({ ...good, points: 0 }, ["/points"]);
  check({ ...good, points: 1.5, edges: [[0, "1", 5]] }, ["/points", "/edges/0"]);
  check({ ...good, edges: [[0, 3, 5], [0, 1], 7, [0, 1, null]] }, [
    "/edges/0",
    "/edges/1",
    "/edges/2",
    "/edges/3",
  ]);
  check({ ...good, edges: 3, contingent: undefined }, ["/edges", "/contingent"]);
  check({ ...good, contingent: [[1, 2, 4, 3]] }, ["/contingent/0"]);
  check({ ...good, dynamicallyControllable: "yes" }, ["/dynamicallyControllable"]);
  check({ ...lags, duration: 4 }, ["/duration"]);
  check({ ...lags, bounds: ["a", "b"] }, ["/bounds"]);
  check([good], [""]);
});

test("[network-line 2] no text makes it throw", () => {
  for (const text of ["", "{", "null", "7", '{"points":1e999}', '{"points":3}x', "[[[["]) {
    expect(readNetworkLine(text).value, text).toBeNull();
    expect(readNetworkLine(text).faults.length, text).toBeGreaterThan(0);
  }
});

function check(line: unknown, paths: readonly string[]): void {
  const { value, faults } = readNetworkLine(JSON.stringify(line));
  expect(value).toBeNull();
  expect(faults.map(({ path }) => path)).toEqual(paths);
  for (const { says, mend } of faults) expect(says.length * mend.length).toBeGreaterThan(0);
}

test("[network-line 1] the command tells bad lines by their numbers and judges the others", () => {
  const text = `${JSON.stringify(good)}\n\n{"points":\n${JSON.stringify({ ...good, dynamicallyControllable: false })}\n${JSON.stringify(lags)}\n`;
  const judged = [...judgeNetworks(text)];
  expect(judged.map(({ line, hasPassed }) => [line, hasPassed])).toEqual([
    [1, true],
    [3, false],
    [4, false],
    [5, true],
  ]);
  expect(judged[1]?.says).toMatch(/column 11: .* Mend/);
  expect(judged[2]?.says).toContain("the file says not controllable");
});

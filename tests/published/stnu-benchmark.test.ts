// Published verdicts of dynamic controllability: the random benchmark in the form of R. Posenato's CSTNU
// tool and the "magic loops" of Hunsberger (TIME 2013), as gathered in ../shared/data/stnu (sources in the
// README beside it).

import { readFileSync } from "node:fs";
import { expect, test } from "vitest";
import { checkControllability } from "../../machines/time/controllability.ts";
import { readNetworkLine } from "../../machines/time/read-network-line.ts";
import { isControllableByMorris2014 } from "../support/morris-2014.ts";
import { judgeNetworks } from "../networks/judge-networks.ts";

const text = readFileSync(
  new URL("../../../shared/data/stnu/benchmark.jsonl", import.meta.url),
  "utf8",
);

test("[controllable 1] [controllable 4] every published network has its published verdict", () => {
  const lines = text.split("\n").filter((line) => line !== "");
  for (const line of lines) {
    const { value } = readNetworkLine(line);
    if (value?.form !== "uncertain") throw new Error(`not a network: ${line.slice(0, 60)}`);
    const { name, network, knownControllable } = value;
    for (const way of ["stopping", "passing"] as const) {
      expect(checkControllability(network, way).controllable, name).toBe(knownControllable);
    }
    expect(isControllableByMorris2014(network), name).toBe(knownControllable);
  }
  expect(lines).toHaveLength(49);
});

test("[circle 1] the command passes all of them, and fails them with the verdicts turned around", () => {
  expect([...judgeNetworks(text)].filter(({ hasPassed }) => !hasPassed)).toEqual([]);
  const turned = text.replaceAll(
    /"dynamicallyControllable":(true|false)/g,
    (_, verdict) => `"dynamicallyControllable":${verdict === "false"}`,
  );
  expect([...judgeNetworks(turned)].filter(({ hasPassed }) => hasPassed)).toEqual([]);
});

// Prometheus, "Exposition formats", text-based format, version 0.0.4: each line ends with a line feed;
// HELP and TYPE come once for a metric, before its samples; a sample is a name, labels in braces, a value;
// a histogram has cumulative _bucket samples with le, the last one +Inf and equal to _count, and a _sum.
// The grammar below is written from memory of that page.

import { expect, test } from "vitest";
import { createMetrics } from "../../workers/hub/metrics.ts";

const sample =
  /^([a-zA-Z_:][a-zA-Z0-9_:]*)(?:\{([a-zA-Z_]\w*="(?:[^"\\\n]|\\["\\n])*"(?:,[a-zA-Z_]\w*="(?:[^"\\\n]|\\["\\n])*")*)\})? (-?(?:\d+(?:\.\d+)?(?:e[+-]?\d+)?)|NaN|[+-]Inf)$/;

function someMetrics(): string {
  const metrics = createMetrics();
  for (const seconds of [0.001, 0.02, 0.02, 3, 60]) metrics.countRequest("push", 200, seconds);
  metrics.countRequest("pull", 429, 0.0001);
  metrics.countRefusal("rate-limited");
  metrics.countTaken(500);
  metrics.countSetAside("fork");
  return metrics.text({
    storage: { runs: 1, devices: 2, entries: 500, setAside: 2 },
    openStreams: 3,
    upSeconds: 12.5,
    residentBytes: 1e8,
    isDraining: false,
    certificateEndsAtMs: 1_800_000_000_000,
  });
}

test("every line is a comment or a sample, and each metric is declared once before its samples", () => {
  const text = someMetrics();
  expect(text.endsWith("\n")).toBe(true);
  const typed = new Map<string, string>();
  for (const line of text.slice(0, -1).split("\n")) {
    const declared = /^# TYPE (\S+) (counter|gauge|histogram)$/.exec(line);
    if (declared !== null) {
      expect(typed.has(declared[1] ?? "")).toBe(false);
      typed.set(declared[1] ?? "", declared[2] ?? "");
      continue;
    }
    if (/^# HELP \S+ .+$/.test(line)) continue;
    const found = sample.exec(line);
    expect(found, line).not.toBeNull();
    const name = found?.[1] ?? "";
    const family = typed.has(name) ? name : name.replace(/_(bucket|sum|count)$/, "");
    expect(typed.has(family), line).toBe(true);
    if (typed.get(family) === "counter") expect(family).toMatch(/_total$/);
  }
});

test("a histogram's buckets are cumulative and end with all of them", () => {
  const buckets = [...someMetrics().matchAll(/_bucket\{le="([^"]+)"\} (\d+)/g)];
  const bounds = buckets.map((match) => (match[1] === "+Inf" ? Infinity : Number(match[1])));
  const counts = buckets.map((match) => Number(match[2]));
  expect(bounds).toEqual(bounds.toSorted((a, b) => a - b));
  const seconds = [0.001, 0.02, 0.02, 3, 60, 0.0001];
  expect(counts).toEqual(bounds.map((bound) => seconds.filter((one) => one <= bound).length));
  expect(someMetrics()).toContain(`_count ${seconds.length}\n`);
});

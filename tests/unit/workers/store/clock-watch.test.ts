import { expect, test } from "vitest";
import {
  addSample,
  bestSample,
  clockJumpMs,
  clockNews,
  forgetSamples,
  recordEveryMs,
  samplesMax,
} from "../../../../workers/store/clock-watch.ts";
import { emptyLink } from "../../../../workers/store/database.ts";
import type { ClockSample, Link } from "../../../../workers/store/database.ts";
import { theRun } from "../../../support/a-database.ts";

function sample(offsetMs: number, roundTripMs: number, wallMs = 0): ClockSample {
  return { wallMs, offsetMs, roundTripMs };
}

function linkWith(...samples: readonly ClockSample[]): Link {
  return samples.reduce(addSample, emptyLink(theRun));
}

test("[clock-watch 2] the sample of the shortest round trip is in use", () => {
  expect(bestSample(linkWith(sample(10, 80), sample(30, 20), sample(50, 60)))?.offsetMs).toBe(30);
  expect(bestSample(emptyLink(theRun))).toBeUndefined();
});

test("[clock-watch 1] a sample that the newest does not agree with is dropped", () => {
  const link = linkWith(sample(0, 10), sample(5, 300), sample(60_000, 400));
  expect(link.samples).toEqual([sample(60_000, 400)]);
});

test("[clock-watch 1] samples that round trips explain stay, the last few of them", () => {
  const link = linkWith(...Array.from({ length: 20 }, (_, index) => sample(index, 100, index)));
  expect(link.samples.map((one) => one.wallMs)).toEqual(
    Array.from({ length: samplesMax }, (_, index) => 20 - samplesMax + index),
  );
});

test.each([
  { says: "no sample", link: emptyLink(theRun), news: { sample: null, jumpMs: 0 } },
  {
    says: "the first sample",
    link: linkWith(sample(500, 40)),
    news: { sample: sample(500, 40), jumpMs: 0 },
  },
  {
    says: "a sample like the recorded one",
    link: { ...linkWith(sample(520, 40)), recorded: sample(500, 40) },
    news: { sample: null, jumpMs: 0 },
  },
  {
    says: "a sample like the recorded one, ten minutes later",
    link: { ...linkWith(sample(520, 40)), recorded: sample(500, 40, -recordEveryMs) },
    news: { sample: sample(520, 40), jumpMs: 0 },
  },
  {
    says: "an offset that crept away",
    link: { ...linkWith(sample(900, 40)), recorded: sample(500, 40) },
    news: { sample: sample(900, 40), jumpMs: 0 },
  },
  {
    says: "an offset that leapt: the clock went one hour ahead",
    link: { ...linkWith(sample(-3_600_000, 40)), recorded: sample(0, 40) },
    news: { sample: sample(-3_600_000, 40), jumpMs: 3_600_000 },
  },
])("[clock-watch 3] $says", ({ link, news }) => {
  expect(clockNews(link, 0)).toEqual(news);
});

test("[clock-watch 3] after the clock was set, the next sample is recorded as a first one", () => {
  const link = { ...linkWith(sample(0, 10)), recorded: sample(0, 10) };
  const later = addSample(forgetSamples(link), sample(60_000, 10));
  expect(clockNews(later, 0)).toEqual({ sample: sample(60_000, 10), jumpMs: 0 });
});

test.each([
  { says: "an ordinary second", wallMs: 1_000, monotonicMs: 1_000, byMs: 0 },
  { says: "a clock that is being slewed", wallMs: 900, monotonicMs: 1_000, byMs: 0 },
  { says: "a clock set back by a minute", wallMs: -59_000, monotonicMs: 1_000, byMs: -60_000 },
  {
    says: "an hour of sleep, or a clock set ahead",
    wallMs: 3_601_000,
    monotonicMs: 1_000,
    byMs: 0,
  },
])("[clock-watch 4] $says", ({ wallMs, monotonicMs, byMs }) => {
  const before = { wallMs: 1e12, monotonicMs: 5_000 };
  const after = { wallMs: 1e12 + wallMs, monotonicMs: 5_000 + monotonicMs };
  expect(clockJumpMs(before, after)).toBe(byMs);
});

import { afterEach, beforeEach, expect, test, vi } from "vitest";
import { afterPaint } from "../../../../app/live/after-paint.ts";

// Node has neither document nor frames; frames come here when the test says so.
let frames: (() => void)[] = [];
let page = new EventTarget();

function aPage(visibilityState: "visible" | "hidden"): void {
  page = new EventTarget();
  Object.defineProperty(page, "visibilityState", { value: visibilityState });
  Object.assign(globalThis, {
    document: page,
    requestAnimationFrame: (act: () => void) => frames.push(act),
  });
}

beforeEach(() => {
  frames = [];
  vi.useFakeTimers();
});

afterEach(() => {
  vi.useRealTimers();
  for (const name of ["document", "requestAnimationFrame"])
    Reflect.deleteProperty(globalThis, name);
});

test("[after-paint 1] the work is done once, in a task after the next frame", () => {
  aPage("visible");
  const done: string[] = [];
  afterPaint(() => done.push("work"));
  expect(done).toEqual([]);
  for (const frame of frames) frame();
  expect(done).toEqual([]);
  vi.advanceTimersByTime(1);
  expect(done).toEqual(["work"]);
  vi.advanceTimersByTime(1_000);
  page.dispatchEvent(new Event("visibilitychange"));
  expect(done).toEqual(["work"]);
});

test("[after-paint 1] where no frame comes, the work is done after half a second", () => {
  aPage("visible");
  const done: string[] = [];
  afterPaint(() => done.push("work"));
  vi.advanceTimersByTime(499);
  expect(done).toEqual([]);
  vi.advanceTimersByTime(1);
  expect(done).toEqual(["work"]);
  for (const frame of frames) frame();
  vi.advanceTimersByTime(1_000);
  expect(done).toEqual(["work"]);
});

test("[after-paint 2] in a window that is or becomes hidden, the work is done at once", () => {
  aPage("hidden");
  const done: string[] = [];
  afterPaint(() => done.push("hidden"));
  expect(done).toEqual(["hidden"]);
  aPage("visible");
  afterPaint(() => done.push("hiding"));
  page.dispatchEvent(new Event("visibilitychange"));
  expect(done).toEqual(["hidden", "hiding"]);
});

test("[after-paint 2] where there are no frames at all, the work is done at once", () => {
  const done: string[] = [];
  afterPaint(() => done.push("work"));
  expect(done).toEqual(["work"]);
});

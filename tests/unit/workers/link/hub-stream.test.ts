import { expect, test } from "vitest";
import type { RunId } from "../../../../machines/record/ids.ts";
import { followHub } from "../../../../workers/link/hub-stream.ts";
import type { HubDoor } from "../../../../workers/link/hub-requests.ts";

const runDoor = { run: "run-1" as RunId, token: "t".repeat(43) };

function streamOf(text: string): Response {
  return new Response(text, { headers: { "content-type": "text/event-stream" } });
}

test("[hub-stream 1] [hub-stream 2] hints are heard, and a stream that ends is opened again", async () => {
  const heard: unknown[] = [];
  const asked: RequestInit[] = [];
  const stop = new AbortController();
  const answers = [
    () => streamOf('event: entries\ndata: {"after":3}\n\nevent: entries\ndata: nonsense\n\n'),
    () => new Response("busy", { status: 503 }),
    () => streamOf('event: heard\ndata: {"lastHeardMs":{"a":5},"hubMs":9}\n\n'),
  ];
  const door: HubDoor = {
    address: "",
    fetch: async (_, init) => {
      asked.push(init ?? {});
      const answer = answers[asked.length - 1];
      if (answer === undefined) stop.abort();
      return answer?.() ?? Response.error();
    },
  };
  const ears = {
    random: () => 0,
    onEntries: (hint: unknown) => heard.push(hint),
    onHeard: (hint: unknown) => heard.push(hint),
  };
  await followHub(door, runDoor, ears, stop.signal);
  expect(heard).toEqual([{ after: 3 }, { lastHeardMs: { a: 5 }, hubMs: 9 }]);
  expect(new Headers(asked[0]!.headers).get("authorization")).toBe(`Bearer ${runDoor.token}`);
});

test("[hub-stream 2] following ends when the page is done with it, in the middle of a stream too", async () => {
  const stop = new AbortController();
  const door: HubDoor = {
    address: "",
    fetch: async (_, init) => {
      const body = new ReadableStream({
        start(controller) {
          init?.signal?.addEventListener("abort", () => controller.error(new Error("aborted")));
        },
      });
      queueMicrotask(() => stop.abort());
      return new Response(body);
    },
  };
  const ears = { random: () => 0, onEntries: () => undefined, onHeard: () => undefined };
  await followHub(door, runDoor, ears, stop.signal);
  expect(stop.signal.aborted).toBe(true);
});

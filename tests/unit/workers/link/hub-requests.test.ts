import { gunzipSync } from "node:zlib";
import { expect, test } from "vitest";
import type { Identity } from "../../../../machines/procedure/ids.ts";
import { createSegment } from "../../../../machines/sync/segment.ts";
import type { Segment } from "../../../../machines/sync/segment.ts";
import type { RunId } from "../../../../machines/record/ids.ts";
import { protocolVersion } from "../../../../machines/sync/protocol-version.ts";
import { HubGarbledError } from "../../../../workers/link/hub-garbled-error.ts";
import { HubRefusedError } from "../../../../workers/link/hub-refused-error.ts";
import {
  askInjectScript,
  askProcedure,
  askProcedures,
  askPull,
  askPush,
  compressedBytesMin,
} from "../../../../workers/link/hub-requests.ts";
import type { HubDoor } from "../../../../workers/link/hub-requests.ts";
import { HubUnreachableError } from "../../../../workers/link/hub-unreachable-error.ts";
import { aChain, aReadSegment, me } from "../../../support/a-database.ts";
import { aHub } from "../hub/a-hub.ts";
import { aTablet } from "./a-tablet.ts";

const runDoor = { run: "run-1" as RunId, token: "t".repeat(43) };

type Sent = { readonly url: string; readonly init: RequestInit };

// A door that gives one answer and keeps what was sent.
function answering(answer: () => Response): { readonly door: HubDoor; readonly sent: Sent[] } {
  const sent: Sent[] = [];
  const door: HubDoor = {
    address: "http://hub.test",
    fetch: async (input, init) => {
      const url = input instanceof Request ? input.url : input.toString();
      sent.push({ url, init: init ?? {} });
      return answer();
    },
  };
  return { door, sent };
}

function segmentsOf(texts: readonly string[]): readonly Segment[] {
  const { entries, head } = aReadSegment(aChain(me, texts));
  return [createSegment(entries, head)];
}

const pushAnswer = { have: {}, refused: [], stamps: { receivedMs: 1, answeredMs: 2 } };

test("[hub-requests 2] a big push is sent compressed, a small one plain; both with version and token", async () => {
  const { door, sent } = answering(() => Response.json(pushAnswer));
  const small = segmentsOf(["a"]);
  const big = segmentsOf(Array.from({ length: 80 }, (_, index) => `a longer entry, ${index}`));
  await askPush(door, runDoor, small);
  await askPush(door, runDoor, big);
  const [plain, packed] = sent.map(({ init }) => ({
    headers: new Headers(init.headers),
    bytes: new Uint8Array(init.body as ArrayBuffer),
  }));
  expect(plain!.headers.get("content-encoding")).toBeNull();
  expect(JSON.parse(new TextDecoder().decode(plain!.bytes))).toEqual({ segments: small });
  expect(packed!.headers.get("content-encoding")).toBe("gzip");
  const unpacked = gunzipSync(packed!.bytes);
  expect(unpacked.length).toBeGreaterThan(compressedBytesMin);
  expect(JSON.parse(unpacked.toString())).toEqual({ segments: big });
  for (const { headers } of [plain!, packed!]) {
    expect(headers.get("lanehold-protocol")).toBe(String(protocolVersion));
    expect(headers.get("authorization")).toBe(`Bearer ${runDoor.token}`);
  }
});

test("[hub-requests 2] no secret is in an address", async () => {
  const { door, sent } = answering(() => Response.json(pushAnswer));
  await askPush(door, runDoor, segmentsOf(["a"]));
  expect(sent[0]!.url).toBe("http://hub.test/api/runs/run-1/entries");
});

test("[hub-requests 2] a refusal comes with the hub's sentences and the wait it asks for", async () => {
  const refusal = { code: "rate-limited", says: "Too often.", mend: "Wait.", faults: [] };
  const { door } = answering(() =>
    Response.json(refusal, { status: 429, headers: { "retry-after": "7" } }),
  );
  const cause = await askPull(door, runDoor, null).catch((error: unknown) => error);
  expect(cause).toBeInstanceOf(HubRefusedError);
  expect(cause).toMatchObject({ status: 429, message: "Too often.", mend: "Wait.", waitMs: 7_000 });
});

test("[hub-requests 2] a refusal that is not the hub's gets words of its own", async () => {
  const { door } = answering(() => new Response("<html>Bad gateway</html>", { status: 502 }));
  await expect(askPull(door, runDoor, null)).rejects.toThrow("status 502");
});

test.each([
  { says: "no JSON", answer: () => new Response("<html>") },
  { says: "another message", answer: () => Response.json({ hello: 1 }) },
  { says: "a member too many", answer: () => Response.json({ ...pushAnswer, more: 1 }) },
])("[hub-requests 2] an answer that is $says is not believed", async ({ answer }) => {
  const { door } = answering(answer);
  await expect(askPush(door, runDoor, segmentsOf(["a"]))).rejects.toThrow(HubGarbledError);
});

test("[hub-requests 1] a network that fails, at once or in the middle, is a hub out of reach", async () => {
  const failing: HubDoor = { address: "", fetch: () => Promise.reject(new TypeError("failed")) };
  await expect(askProcedures(failing)).rejects.toThrow(HubUnreachableError);
  const { door } = answering(() => {
    const body = new ReadableStream({
      pull: (controller) => controller.error(new TypeError("connection lost")),
    });
    return new Response(body);
  });
  await expect(askProcedures(door)).rejects.toThrow(HubUnreachableError);
});

test("[hub-requests 2] a procedure is believed only under its own identity", async () => {
  const testHub = await aHub();
  const { door } = await aTablet(testHub, "Desk");
  const [listed] = await askProcedures(door);
  const procedure = await askProcedure(door, listed!.identity, null);
  expect(procedure.title).toBe(listed!.title);
  const { door: liar } = answering(() => Response.json(procedure));
  const wrong = "f".repeat(64) as Identity;
  await expect(askProcedure(liar, wrong, null)).rejects.toThrow(HubGarbledError);
});

test("[hub-requests 2] a run without an inject script has none", async () => {
  const refusal = { code: "script-unknown", says: "None.", mend: "None.", faults: [] };
  const { door } = answering(() => Response.json(refusal, { status: 404 }));
  expect(await askInjectScript(door, runDoor)).toBeNull();
});

// Requests that were changed, against the real hub on SQLite: bodies, packing, headers, addresses; and, by a
// device that holds a key of the run, what it signs. Never a failure of the hub's own; what is refused has
// a code and words, and has changed nothing.

import { gunzipSync, gzipSync } from "node:zlib";
import { expect, test } from "vitest";
import { canonicalJson } from "../../../machines/base/canonical-json.ts";
import type { SeededRandom } from "../../../machines/base/seeded-random.ts";
import type { Entry } from "../../../machines/record/entry.ts";
import { joiningText } from "../../../machines/sync/join.ts";
import type { JoinRequest } from "../../../machines/sync/join.ts";
import { openingText } from "../../../machines/sync/open.ts";
import type { OpenRequest } from "../../../machines/sync/open.ts";
import { protocolHeader } from "../../../machines/sync/protocol-version.ts";
import { signText } from "../../../workers/keys/sign-text.ts";
import { aProcedure } from "../../support/a-procedure.ts";
import {
  aDevice,
  aHub,
  invite,
  joinJson,
  letIn,
  openJson,
  openRun,
  pull,
  push,
  putAppFile,
  refusalOf,
  run,
  signed,
} from "../workers/hub/a-hub.ts";
import type { AskOptions, TestDevice, TestHub } from "../workers/hub/a-hub.ts";
import { arming, chain, endOf, note } from "../workers/hub/incoming-entries.ts";
import { signedChain } from "./entries.ts";
import { mutateBytes, mutateJson, mutateText } from "./mutations.ts";
import { fuzzing, isReplay, pick, playRounds } from "./rounds.ts";
import type { Outcomes } from "./rounds.ts";

const entriesPath = `/api/runs/${run}/entries`;
const invitationsPath = `/api/runs/${run}/invitations`;

type Ready = {
  readonly testHub: TestHub;
  readonly director: TestDevice;
  readonly crew: TestDevice;
  /** An invitation that nobody has used. */
  readonly code: string;
  readonly requests: readonly Request[];
};

type Request = {
  readonly method: string;
  readonly path: string;
  readonly token: string | null;
  readonly json: unknown;
};

async function aReadyHub(): Promise<Ready> {
  const testHub = await aHub();
  putAppFile(testHub, "index.html", "<p>The app</p>");
  const director = await openRun(testHub);
  const crew = await letIn(testHub, director, { role: "crew", lane: "ev1" });
  await push(testHub, director, director.write(note("one"), arming("glove")));
  await push(testHub, crew, crew.write(note("one"), note("two")));
  const code = await invite(testHub, director, { role: "reader", lane: null });
  const newcomer = await aDevice();
  const segments = [await signed(crew, crew.write(note("three"), note("four")))];
  const stranger = await aDevice();
  const opening = { run: `${stranger.device}.other` as typeof run };
  const requests = [
    request("POST", entriesPath, crew, { segments }),
    request("POST", invitationsPath, director, { role: "crew", lane: "ev1" }),
    request("POST", "/api/join", null, await joinJson(newcomer, code)),
    request("POST", "/api/runs", null, await openJson(stranger, testHub.procedure, opening)),
    request("PUT", `/api/procedures/${testHub.procedure}`, null, aProcedure()),
  ];
  return { testHub, director, crew, code, requests };
}

function request(method: string, path: string, by: TestDevice | null, json: unknown): Request {
  return { method, path, token: by?.token ?? null, json };
}

test(
  "[body 1] [body 2] [answer 1] bodies, mutated as values, as text, and as they are packed",
  fuzzing,
  async () => {
    const ready = await aReadyHub();
    const outcomes = await playRounds("bodies", 400, async (random) => {
      const { method, path, token, json } = pick(random, ready.requests);
      const { body, headers } = mutatedBody(json, random);
      return check(ready, method, path, { ...(token === null ? {} : { token }), body, headers });
    });
    checkRefused(outcomes);
  },
);

function mutatedBody(json: unknown, random: SeededRandom) {
  const asJson = () => JSON.stringify(mutateJson(json, random)) ?? "";
  const text = JSON.stringify(json);
  const gzip = { "content-encoding": "gzip" };
  const ways: readonly (() => { body: BodyInit; headers: Record<string, string> })[] = [
    () => ({ body: asJson(), headers: {} }),
    () => ({ body: asJson(), headers: {} }),
    () => ({ body: new Uint8Array(gzipSync(asJson())), headers: gzip }),
    () => ({ body: mutateText(text, random), headers: {} }),
    () => ({ body: mutateBytes(gzipSync(text), random), headers: gzip }),
    () => ({ body: text, headers: gzip }),
    () => ({ body: new Uint8Array(gzipSync(gzipSync(text))), headers: gzip }),
  ];
  return pick(random, ways)();
}

test(
  "[push-route 1] [push-route 2] [pack 2] entries, mutated, chained and signed again by their device",
  fuzzing,
  async () => {
    const ready = await aReadyHub();
    let end: { seq: number; digest: string } | null = null;
    const outcomes = await playRounds("signed entries", 150, async (random) => {
      const { testHub, director } = ready;
      const writer = await aFreshWriter(ready, end);
      const entries = mutateEntries(writer.entries, random);
      const segment = await signedChain(entries, director.key);
      if (segment === null) return "has no canonical form";
      const json = { segments: [segment] };
      const options = { token: director.token, json };
      const outcome = await check(ready, "POST", entriesPath, options);
      end = await endAtHub(ready, end, entries);
      if (outcome === "200") await pull(testHub, ready.crew);
      return outcome;
    });
    checkRefused(outcomes);
    if (!isReplay()) expect(outcomes["200"] ?? 0).toBeGreaterThan(0);
  },
);

// The director goes on with the chain that the hub has of it.
async function aFreshWriter({ director }: Ready, end: { seq: number; digest: string } | null) {
  const before =
    end ?? endOf(chain({ run, device: director.device }, [note("one"), arming("glove")]));
  const bodies = [note("next"), note("after it")];
  return { entries: chain({ run, device: director.device }, bodies, before) };
}

async function endAtHub(
  { testHub, director }: Ready,
  end: { seq: number; digest: string } | null,
  sent: readonly Entry[],
): Promise<{ seq: number; digest: string } | null> {
  const { have } = await pull(testHub, director);
  const seq = have[director.device] ?? 0;
  const last = sent.find((entry) => entry.seq === seq && entry.seq > (end?.seq ?? 2));
  return last === undefined ? end : endOf(await rechained(sent, seq));
}

async function rechained(sent: readonly Entry[], toSeq: number): Promise<readonly Entry[]> {
  const upTo = sent.filter(({ seq }) => seq <= toSeq);
  const linked: Entry[] = [];
  for (const entry of upTo) {
    const before = linked.at(-1);
    linked.push(before === undefined ? entry : { ...entry, prev: endOf([before]).digest });
  }
  return linked;
}

function mutateEntries(entries: readonly Entry[], random: SeededRandom): readonly Entry[] {
  const at = random.nextBelow(entries.length);
  return entries.map((entry, place) => {
    if (place !== at) return entry;
    const { body, wallMs, seen, position } = entry;
    const mutable = random.nextBelow(3) === 0 ? { body, wallMs, seen, position } : { body };
    return { ...entry, ...(mutateJson(mutable, random) as Partial<Entry>) };
  });
}

test(
  "[open-route 2] [join-route 3] openings and joinings, mutated and signed by who sends them",
  fuzzing,
  async () => {
    const ready = await aReadyHub();
    const outcomes = await playRounds("signed requests", 200, async (random) => {
      const stranger = await aDevice();
      if (random.nextBelow(2) === 0) {
        const opening = await openJson(stranger, ready.testHub.procedure, {
          run: `${stranger.device}.other` as typeof run,
        });
        const mutated = mutateJson(opening, random) as OpenRequest;
        const json = await proven(mutated, stranger, openingText);
        return check(ready, "POST", "/api/runs", { json });
      }
      const joining = await joinJson(stranger, ready.code);
      const mutated = mutateJson(joining, random) as JoinRequest;
      const json = await proven(mutated, stranger, joiningText);
      return check(ready, "POST", "/api/join", { json });
    });
    checkRefused(outcomes);
  },
);

// What can't be signed goes as it is.
async function proven<Message extends object>(
  message: Message,
  { key }: TestDevice,
  textOf: (message: Message) => string,
): Promise<unknown> {
  try {
    return { ...message, proof: await signText(key.privateKey, textOf(message)) };
  } catch {
    return message;
  }
}

test(
  "[server 1] [authenticate 1] [answer 1] addresses, methods and headers, mutated",
  fuzzing,
  async () => {
    const ready = await aReadyHub();
    const { crew, requests } = ready;
    const outcomes = await playRounds("addresses", 500, async (random) => {
      const { json } = pick(random, requests);
      const method = pick(random, ["GET", "POST", "PUT", "DELETE", "OPTIONS", "PATCH", "HEAD"]);
      const path = mutatedAddress(pick(random, addresses), random);
      if (path === null) return "no address";
      const headers = Object.fromEntries(
        oddHeaders
          .filter(() => random.nextBelow(4) === 0)
          .map((odd) => [odd[0], pick(random, odd[1])]),
      );
      const withBody = method === "GET" || method === "HEAD" ? {} : { body: canonicalJson(json) };
      const token = pick(random, [crew.token, mutatedToken(crew.token, random)]);
      return check(ready, method, path, { token, ...withBody, headers });
    });
    checkRefused(outcomes);
  },
);

const addresses: readonly string[] = [
  entriesPath,
  `${entriesPath}?epoch=e&after=0`,
  `/api/runs/${run}/inject-script`,
  invitationsPath,
  "/api/runs",
  "/api/join",
  "/api/procedures",
  `/api/procedures/${"0".repeat(64)}`,
  "/healthz",
  "/metrics",
  "/trust",
  "/trust/authority.crt",
  "/assets/app.js",
  "/",
];

const oddHeaders: readonly (readonly [string, readonly string[]])[] = [
  ["content-encoding", ["gzip", "br", "gzip, gzip", "", "identity", "GZIP ", "x".repeat(5_000)]],
  ["content-length", ["-1", "1e9", "99999999999", "0x10", "abc", ""]],
  ["content-type", ["text/html", "application/json; charset=utf-16", ""]],
  ["accept-encoding", ["gzip;q=0", "*", "br, zstd", "x".repeat(5_000)]],
  [protocolHeader, ["0", "2.0", "-2", "2, 2", "9".repeat(400), ""]],
  ["range", ["bytes=0-", "bytes=-1,5-2", "lines=1"]],
  ["if-none-match", ["*", '"x"', "W/"]],
  ["x-forwarded-for", ["::1", "no address", "1".repeat(3_000)]],
  ["last-event-id", ["-1", "\u00e9", "x"]],
];

const oddParts = [
  "%00",
  "%2e%2e%2f",
  "..",
  "%ff",
  "%E0%A4%A",
  "//",
  "?",
  "&after=",
  "#",
  ";",
  "%F0%9F%99%82",
  "\\",
  "__proto__",
  "1".repeat(3_000),
];

// Null: what comes of it is no address that a client could ask.
function mutatedAddress(address: string, random: SeededRandom): string | null {
  let path = address;
  for (let left = random.nextBelow(3); left > 0; left -= 1) {
    const at = 1 + random.nextBelow(path.length);
    const end = at + random.nextBelow(6);
    path = path.slice(0, at) + pick(random, oddParts) + path.slice(end);
  }
  if (path.includes("/stream")) return null;
  return URL.canParse(path, "http://hub.test") && !path.startsWith("//") ? path : null;
}

function mutatedToken(token: string, random: SeededRandom): string {
  return pick(random, [token.slice(1), `${token}A`, token.toLowerCase(), "", " ", "A".repeat(43)]);
}

// Asks, after time enough that nothing is refused for coming too soon.
async function check(
  { testHub }: Ready,
  method: string,
  path: string,
  options: AskOptions,
): Promise<string> {
  testHub.clock.pass(10_000);
  const before = testHub.dump();
  const answer = await testHub.ask(method, path, options);
  const { status } = answer;
  if (status >= 500) throw new Error(`${status}\n${testHub.logLines.slice(-3).join("\n")}`);
  expect(Reflect.get({}, "polluted")).toBeUndefined();
  if (status < 400) {
    await answer.arrayBuffer();
    return String(status);
  }
  expect(testHub.dump()).toBe(before);
  if (method === "HEAD") return String(status);
  const { code, says, mend, faults } = await refusalOf(await unpacked(answer));
  expect(code).toMatch(/^[a-z0-9-]+$/);
  for (const words of [says, mend]) expect(words).toMatch(/\S{2}/);
  for (const fault of faults) expect(fault.code).toMatch(/^[a-z0-9-]+$/);
  return `${status} ${code}`;
}

// Packed, where the request said that it takes that.
async function unpacked(answer: Response): Promise<Response> {
  if (answer.headers.get("content-encoding") !== "gzip") return answer;
  return new Response(new Uint8Array(gunzipSync(await answer.arrayBuffer())));
}

function checkRefused(outcomes: Outcomes): void {
  if (isReplay()) return;
  expect(Object.keys(outcomes).some((outcome) => outcome.startsWith("4"))).toBe(true);
  expect(outcomes["429 rate-limited"] ?? 0).toBe(0);
}

// From a request's body to a value: the only way.
//
// [body 1] A body beyond `requestBytesMax` as sent, or `unpackedBytesMax` unpacked, is refused without
//   being read or unpacked further.
// [body 2] What is not UTF-8, not JSON or not of the shape is refused with every fault and its path.

import { createGunzip } from "node:zlib";
import { Readable } from "node:stream";
import { parseJson } from "../../machines/base/parse-json.ts";
import type { ShapeReading } from "../../machines/procedure/read-shape.ts";
import { requestBytesMax, unpackedBytesMax } from "../../machines/sync/push.ts";
import { refuse } from "./answer.ts";
import type { RefusalOf } from "./answer.ts";
import type { HubContext } from "./hub.ts";

/**
 * Reads a body of JSON with the reader of its message.
 *
 * @returns the value, or the refusal to answer with
 * Errors: those of the connection.
 */
export async function readJsonBody<Value>(
  c: HubContext,
  read: (value: unknown) => ShapeReading<Value>,
): Promise<{ readonly value: Value } | Response> {
  const text = await readTextBody(c);
  if (text instanceof Response) return text;
  const { value, flaw } = parseJson(text);
  if (flaw !== null) {
    const says = `The text breaks at line ${flaw.line}, column ${flaw.column}: ${flaw.says}.`;
    const mend = "Send JSON (RFC 8259).";
    return refuse(c, malformed([{ path: "", code: "not-json", says, mend }]));
  }
  const reading = read(value);
  if (reading.value === null) return refuse(c, malformed(reading.faults));
  return { value: reading.value };
}

/** Reads a body as text: unpacked, within the limits. Result and errors as of `readJsonBody`. */
export async function readTextBody(c: HubContext): Promise<string | Response> {
  const encoding = c.req.header("content-encoding")?.trim().toLowerCase() ?? "identity";
  if (encoding !== "identity" && encoding !== "gzip") return refuse(c, unknownEncoding(encoding));
  if (Number(c.req.header("content-length") ?? 0) > requestBytesMax) return refuse(c, tooLarge);
  const sent = await collect(c.req.raw.body, requestBytesMax);
  if (sent === "too-large") return refuse(c, tooLarge);
  const bytes = encoding === "gzip" ? await unpack(sent) : sent;
  if (bytes === "too-large") return refuse(c, unpacksTooLarge);
  if (bytes === "not-gzip") return refuse(c, malformed([notGzip]));
  try {
    return new TextDecoder("utf-8", { fatal: true }).decode(bytes);
  } catch {
    return refuse(c, malformed([notUtf8]));
  }
}

/** The refusal of a body with these faults. */
export function malformed(faults: RefusalOf["faults"] = []): RefusalOf {
  return {
    status: 400,
    code: "body-malformed",
    says: "The hub could not read this request.",
    mend: "Bring the app on this device up to date, or tell whoever wrote it what is listed here.",
    faults,
  };
}

async function collect(
  body: AsyncIterable<Uint8Array> | ReadableStream<Uint8Array> | null,
  bytesMax: number,
): Promise<Buffer | "too-large"> {
  const chunks: Uint8Array[] = [];
  let length = 0;
  for await (const chunk of body ?? []) {
    length += chunk.length;
    if (length > bytesMax) return "too-large";
    chunks.push(chunk);
  }
  return Buffer.concat(chunks);
}

async function unpack(packed: Buffer): Promise<Buffer | "too-large" | "not-gzip"> {
  const unpacking = Readable.from([packed]).pipe(createGunzip());
  try {
    return await collect(unpacking, unpackedBytesMax);
  } catch {
    return "not-gzip";
  } finally {
    unpacking.destroy();
  }
}

const tooLarge: RefusalOf = {
  status: 413,
  code: "body-too-large",
  says: `This request is larger than the ${requestBytesMax} bytes that the hub takes at once.`,
  mend: "Send it in several parts.",
  headers: { connection: "close" },
};

const unpacksTooLarge: RefusalOf = {
  ...tooLarge,
  says: `This request unpacks to more than the ${unpackedBytesMax} bytes that the hub takes at once.`,
};

const notGzip = {
  path: "",
  code: "not-gzip",
  says: "The body is said to be gzip, but it does not unpack.",
  mend: "Pack it as RFC 1952 says, or send it as it is.",
};

const notUtf8 = {
  path: "",
  code: "not-utf-8",
  says: "The body is not text in UTF-8.",
  mend: "Send JSON in UTF-8.",
};

function unknownEncoding(encoding: string): RefusalOf {
  return {
    status: 415,
    code: "encoding-unknown",
    says: `The hub cannot unpack ${JSON.stringify(encoding.slice(0, 40))}.`,
    mend: "Send the body as it is, or packed with gzip.",
    headers: { "accept-encoding": "gzip" },
  };
}

// What every document of ours begins with: JSON, the format's name, the format's version.
//
// [read-document 1] A text that is not JSON, of another format, or of a newer version is refused
//   whole, and nothing else is said about it, for everything else would be guessed.

import { parseJson } from "../base/parse-json.ts";
import type { Fault } from "./fault.ts";
import { isObject } from "./read-shape.ts";

/** A document whose beginning is right, or why it is refused whole. */
export type ReadDocument =
  | { readonly document: Readonly<Record<string, unknown>>; readonly faults: readonly [] }
  | { readonly document: null; readonly faults: readonly Fault[] };

/**
 * Reads the text of a document as far as its format and version.
 *
 * @param format the format's name, as the document's member "format" must have it
 * @param formatVersionMax the newest version that the caller reads
 * Errors: none; faults are in the result.
 */
export function readDocument(text: string, format: string, formatVersionMax: number): ReadDocument {
  const { value, flaw } = parseJson(text);
  if (flaw !== null) {
    return refuse({
      path: "",
      code: "not-json",
      says: `The text breaks at line ${flaw.line}, column ${flaw.column}: ${flaw.says}.`,
      mend: "Fetch the file again, or mend it at that place.",
    });
  }
  if (!isObject(value) || value["format"] !== format) return refuse(wrongFormat(value, format));
  const version = value["formatVersion"];
  if (!Number.isSafeInteger(version)) return refuse(wrongVersion);
  if (Number(version) < 1) return refuse(wrongVersion);
  if (Number(version) > formatVersionMax) {
    return refuse(newerVersion(Number(version), formatVersionMax));
  }
  return { document: value, faults: [] };
}

function refuse(fault: Fault): ReadDocument {
  return { document: null, faults: [fault] };
}

function wrongFormat(value: unknown, format: string): Fault {
  return {
    path: isObject(value) && Object.hasOwn(value, "format") ? "/format" : "",
    code: "wrong-format",
    says: `This is not a document of the format ${JSON.stringify(format)}.`,
    mend: `Choose a file that begins with "format": ${JSON.stringify(format)}.`,
  };
}

const wrongVersion: Fault = {
  path: "/formatVersion",
  code: "wrong-version",
  says: "The version of the format is missing or is not a whole number from 1.",
  mend: "Fetch the file again, or write the version that it was made with.",
};

function newerVersion(version: number, formatVersionMax: number): Fault {
  return {
    path: "/formatVersion",
    code: "newer-version",
    says:
      `This file is of version ${version} of its format; ` +
      `this app reads versions up to ${formatVersionMax}.`,
    mend: "Update the app on this device, or have the file saved in the older version.",
  };
}

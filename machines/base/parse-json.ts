// A strict reader of JSON texts that says where a text breaks.
//
// Browsers word the faults of `JSON.parse` differently and some say no place; a person who mends a
// file by hand needs the line. It also refuses what `JSON.parse` lets pass: a name that stands
// twice in one object, of which one value would silently be lost.
// [parse-json 1] It takes a text exactly if RFC 8259 does, no name stands twice in an object, and
//   it is not nested deeper than `jsonDepthMax`; then its value is that of `JSON.parse`.
// [parse-json 2] It never throws.

/** Arrays and objects nested deeper than this are refused, before the stack runs out. */
export const jsonDepthMax = 100;

/** The value of a text, or the first place where the text breaks. */
export type ParsedJson =
  | { readonly value: unknown; readonly flaw: null }
  | { readonly value: null; readonly flaw: JsonFlaw };

/** Where and how a text is not JSON. */
export type JsonFlaw = {
  /** From 1. */
  readonly line: number;
  /** From 1, in UTF-16 code units. */
  readonly column: number;
  /** What is wrong there: "a comma or the end of the object is missing". */
  readonly says: string;
};

/**
 * Reads a JSON text.
 *
 * Errors: none; a text that is not JSON gives a flaw.
 * Source: RFC 8259; RFC 7493, section 2.3, for names that stand twice.
 */
export function parseJson(text: string): ParsedJson {
  const scan: Scan = { text, offset: 0, flaw: null };
  skipSpace(scan);
  const value = scanValue(scan, 0);
  skipSpace(scan);
  if (scan.flaw === null && scan.offset < text.length) {
    flawAt(scan, "the document ends before this");
  }
  return scan.flaw === null
    ? { value, flaw: null }
    : { value: null, flaw: placeOf(text, scan.offset, scan.flaw) };
}

/** A reading under way. Once `flaw` is set, nothing moves any more and `offset` is its place. */
type Scan = { readonly text: string; offset: number; flaw: string | null };

function scanValue(scan: Scan, depth: number): unknown {
  if (scan.flaw !== null) return null;
  if (depth > jsonDepthMax) return flawAt(scan, "this is nested too deeply");
  switch (scan.text[scan.offset]) {
    case "{":
      return scanObject(scan, depth);
    case "[":
      return scanArray(scan, depth);
    case '"':
      return scanString(scan);
    case undefined:
      return flawAt(scan, "the text ends where a value is due");
    default:
      return scanWordOrNumber(scan);
  }
}

function scanObject(scan: Scan, depth: number): unknown {
  const members = new Map<string, unknown>();
  scan.offset += 1;
  skipSpace(scan);
  if (takes(scan, "}")) return {};
  while (scan.flaw === null) {
    if (scan.text[scan.offset] !== '"') return flawAt(scan, "a name in quotes is due");
    const nameOffset = scan.offset;
    const name = scanString(scan);
    if (members.has(name)) {
      if (scan.flaw === null) scan.offset = nameOffset;
      return flawAt(scan, `the name ${JSON.stringify(name)} stands twice in one object`);
    }
    skipSpace(scan);
    if (!takes(scan, ":")) return flawAt(scan, "a colon is due");
    skipSpace(scan);
    members.set(name, scanValue(scan, depth + 1));
    skipSpace(scan);
    // `fromEntries` makes a member of its own even of the name "__proto__", as `JSON.parse` does.
    if (takes(scan, "}")) return Object.fromEntries(members);
    if (!takes(scan, ",")) return flawAt(scan, "a comma or the end of the object is due");
    skipSpace(scan);
  }
  return null;
}

function scanArray(scan: Scan, depth: number): unknown {
  const values: unknown[] = [];
  scan.offset += 1;
  skipSpace(scan);
  if (takes(scan, "]")) return values;
  while (scan.flaw === null) {
    values.push(scanValue(scan, depth + 1));
    skipSpace(scan);
    if (takes(scan, "]")) return values;
    if (!takes(scan, ",")) return flawAt(scan, "a comma or the end of the list is due");
    skipSpace(scan);
  }
  return null;
}

// oxlint-disable-next-line no-control-regex -- JSON forbids exactly these inside quotes
const plainRun = /[^"\\\u0000-\u001f]*/y;
const escape = /\\(?:["\\/bfnrt]|u[0-9a-fA-F]{4})/y;

function scanString(scan: Scan): string {
  const start = scan.offset;
  scan.offset += 1;
  const plain = takesPattern(scan, plainRun);
  if (takes(scan, '"')) return plain;
  while (scan.flaw === null) {
    takesPattern(scan, plainRun);
    if (takes(scan, '"')) break;
    if (takesPattern(scan, escape) !== "") continue;
    flawAt(scan, stringFlaw(scan.text[scan.offset]));
  }
  return scan.flaw === null ? String(JSON.parse(scan.text.slice(start, scan.offset))) : "";
}

function stringFlaw(character: string | undefined): string {
  if (character === undefined) return "the text ends inside quotes";
  if (character === "\\") return "this backslash begins nothing that JSON knows";
  return "a line break, tab or control character may not stand inside quotes";
}

const number = /-?(?:0|[1-9][0-9]*)(?:\.[0-9]+)?(?:[eE][+-]?[0-9]+)?/y;
const word = /true|false|null/y;

function scanWordOrNumber(scan: Scan): unknown {
  const token = takesPattern(scan, word) || takesPattern(scan, number);
  return token === "" ? flawAt(scan, "a value is due") : JSON.parse(token);
}

function skipSpace(scan: Scan): void {
  while (scan.flaw === null && " \t\n\r".includes(scan.text[scan.offset] ?? "x")) {
    scan.offset += 1;
  }
}

// Moves past a character if it stands here.
function takes(scan: Scan, character: string): boolean {
  if (scan.flaw !== null || scan.text[scan.offset] !== character) return false;
  scan.offset += 1;
  return true;
}

// Moves past what a sticky pattern matches here, and returns it; "" if it matches nothing.
function takesPattern(scan: Scan, pattern: RegExp): string {
  if (scan.flaw !== null) return "";
  pattern.lastIndex = scan.offset;
  if (!pattern.test(scan.text)) return "";
  const found = scan.text.slice(scan.offset, pattern.lastIndex);
  scan.offset = pattern.lastIndex;
  return found;
}

// Notes what is wrong here; the first flaw stays.
function flawAt(scan: Scan, says: string): null {
  scan.flaw ??= says;
  return null;
}

function placeOf(text: string, offset: number, says: string): JsonFlaw {
  const lines = text.slice(0, offset).split(/\r\n|\n|\r/);
  return { line: lines.length, column: (lines.at(-1)?.length ?? 0) + 1, says };
}

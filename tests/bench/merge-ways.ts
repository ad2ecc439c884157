// The ways of merging that the benches compare: from bytes that 20 devices sent to the list of all entries.
//
// Each is given the same entries. The floor, Yjs and Automerge verify nothing of ours and sort by wall
// clock; ours verifies every chain and sorts as the product does.

import type { Entry } from "../../machines/record/entry.ts";
import { orderEntries } from "../../machines/record/order-entries.ts";
import { readSegment } from "../../machines/sync/segment.ts";
import type { Segment } from "../../machines/sync/segment.ts";
import { verifyHead } from "../../workers/keys/verify-head.ts";

/** Entries in one segment: what a push holds at the most. */
export const entriesPerSegment = 500;
/** Segments in one answer to a pull: they reach `pullEntriesMax` together. */
export const segmentsPerPage = 2;

/** What each way reads. */
export type SentBytes = {
  /** Canonical JSON, an entry a line. */
  readonly lines: string;
  /** By pull: the JSON of its segments. */
  readonly pages: readonly string[];
  /** By device: a Yjs update. */
  readonly yjsUpdates: readonly Uint8Array[];
  /** By device: a saved Automerge document. */
  readonly automergeDocuments: readonly Uint8Array[];
};

/** JSON.parse of each line, a map as union, one sort. */
export function mergeFloor({ lines }: Pick<SentBytes, "lines">): readonly Entry[] {
  return sorted(lines.split("\n").map((line) => JSON.parse(line) as Entry));
}

/** As a replica takes in pulls: every entry read, every chain verified; then the record's order. */
export function mergeOurs(
  { pages }: Pick<SentBytes, "pages">,
  digestHex: (text: string) => string,
): readonly Entry[] {
  return orderEntries(readPages(pages, digestHex)).ordered.map(({ entry }) => entry);
}

/** The entries of all pages. Errors: if one is not whole. */
export function readPages(
  pages: readonly string[],
  digestHex: (text: string) => string,
): readonly Entry[] {
  const entries: Entry[] = [];
  for (const page of pages) {
    for (const value of JSON.parse(page) as unknown[]) {
      const { segment, faults } = readSegment(value, "", digestHex);
      if (segment === null) throw new Error(JSON.stringify(faults));
      for (const entry of segment.entries) entries.push(entry);
    }
  }
  return entries;
}

/** Verifies the signature of every head. Errors: if one is not good. */
export async function verifyPages(pages: readonly string[]): Promise<void> {
  const heads = pages.flatMap((page) => (JSON.parse(page) as Segment[]).map(({ head }) => head));
  const areGood = await Promise.all(heads.map(verifyHead));
  if (areGood.includes(false)) throw new Error("A head is not good.");
}

/** The updates applied to one document, its array read, parsed and sorted. */
export async function createYjsWay(): Promise<(sent: Pick<SentBytes, "yjsUpdates">) => Entry[]> {
  const { Doc, applyUpdate } = await import("yjs");
  return ({ yjsUpdates }) => {
    const doc = new Doc();
    for (const update of yjsUpdates) applyUpdate(doc, update);
    const texts = doc.getArray<string>("entries").toArray();
    return sorted(texts.map((text) => JSON.parse(text) as Entry));
  };
}

type AutomergeSent = Pick<SentBytes, "automergeDocuments">;
type AutomergeDocument = { readonly entries: readonly unknown[] };

/** Automerge's two ways, of which the faster counts: a document a device, and one merged of all. */
export async function createAutomergeWays(): Promise<{
  readonly apart: (sent: AutomergeSent) => Entry[];
  readonly merged: (sent: AutomergeSent) => Entry[];
}> {
  const { init, load, loadIncremental } = await import("@automerge/automerge");
  return {
    apart: ({ automergeDocuments }) =>
      sorted(automergeDocuments.flatMap((bytes) => entriesOf(load<AutomergeDocument>(bytes)))),
    merged: ({ automergeDocuments }) => {
      let doc = init<AutomergeDocument>();
      for (const bytes of automergeDocuments) doc = loadIncremental(doc, bytes);
      return sorted(entriesOf(doc));
    },
  };
}

function entriesOf({ entries }: AutomergeDocument): Entry[] {
  return entries.map((text) => JSON.parse(String(text)) as Entry);
}

// Names are unique, so what is kept of a union by name is what came; the map is part of the work.
function sorted(entries: readonly Entry[]): Entry[] {
  const union = new Map(entries.map((entry) => [`${entry.device}:${entry.seq}`, entry]));
  return [...union.values()].sort(
    (a, b) =>
      a.wallMs - b.wallMs || (a.device < b.device ? -1 : a.device > b.device ? 1 : a.seq - b.seq),
  );
}

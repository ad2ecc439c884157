// What the peers of merge.bench.ts would send: the same entries, each as JSON text in a shared list.
//
// Each device writes its entries one by one, as people tap, so that each is a change of its own, in a
// copy of one first document. In Automerge a text is an `ImmutableString`: a plain string would be a
// text that people edit together, letter by letter, and many times slower.

import * as Automerge from "@automerge/automerge";
import { Doc, encodeStateAsUpdate } from "yjs";
import type { WorkloadChain } from "./merge-workload.ts";
import { entryText } from "../../machines/record/digest-entry.ts";

/** Each device's Yjs document as an update. */
export function yjsUpdatesOf(chains: readonly WorkloadChain[]): readonly Uint8Array[] {
  return chains.map(({ entries }) => {
    const doc = new Doc();
    const list = doc.getArray<string>("entries");
    for (const entry of entries) list.push([entryText(entry)]);
    return encodeStateAsUpdate(doc);
  });
}

/** Each device's Automerge document, saved. */
export function automergeDocumentsOf(chains: readonly WorkloadChain[]): readonly Uint8Array[] {
  const first = Automerge.from<{ entries: Automerge.ImmutableString[] }>({ entries: [] });
  return chains.map(({ entries }) => {
    let doc = Automerge.clone(first);
    for (const entry of entries) {
      doc = Automerge.change(doc, (draft) => {
        draft.entries.push(new Automerge.ImmutableString(entryText(entry)));
      });
    }
    return Automerge.save(doc);
  });
}

// A fault in something that came in: a procedure, an inject script, a message, an entry, a form.
// Faults are data; they are gathered, all of them at once, and shown to a person.

/** One fault, where it is, and what would mend it. */
export type Fault = {
  /** JSON Pointer (RFC 6901) into the document; "" is the whole of it. */
  readonly path: string;
  /**
   * Names the sort of fault: "missing-member", "unknown-step". Stable; tests and screens rely on
   * it.
   */
  readonly code: string;
  /** What is wrong, as a sentence for a person. */
  readonly says: string;
  /** What would mend it, as a sentence for a person. */
  readonly mend: string;
};

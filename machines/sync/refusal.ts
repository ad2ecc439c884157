// What the hub answers when it refuses: HTTP status 4xx or 5xx with this body.

import { anyText, list, object, readShape, text } from "../procedure/read-shape.ts";
import type { ShapeReading } from "../procedure/read-shape.ts";

/** Why a request was refused and how to mend it. */
export type Refusal = {
  /** For programs: "run-unknown", "code-unknown", "token-wrong", "role-wrong", "body-too-large", "body-malformed", "protocol-version", "rate-limited", … */
  readonly code: string;
  /** For the person: what is wrong. */
  readonly says: string;
  /** For the person: what to do. */
  readonly mend: string;
  /** Faults in the body, by path; empty where the fault lies elsewhere. */
  readonly faults: readonly {
    readonly path: string;
    readonly code: string;
    readonly says: string;
    readonly mend: string;
  }[];
};

/** Reads a `Refusal`. Errors: none; faults are data. */
export function readRefusal(value: unknown): ShapeReading<Refusal> {
  return readShape(refusalShape, value);
}

const refusalShape = object({
  code: text,
  says: text,
  mend: text,
  faults: list(object({ path: anyText, code: text, says: text, mend: text })),
});

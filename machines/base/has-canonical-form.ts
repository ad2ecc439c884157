// Whether a value that came in has a canonical form, asked before it is made.
//
// [has-canonical-form 1] Of what `JSON.parse` can give, it holds exactly for what `canonicalJson` takes:
//   JSON may spell numbers that are too large, and halves of characters, which no bytes can keep.

import { canonicalJsonDepthMax } from "./canonical-json.ts";

/**
 * Whether `canonicalJson` takes the value.
 *
 * @param value as `JSON.parse` gives it
 * Errors: none.
 */
export function hasCanonicalForm(value: unknown): boolean {
  return isWhole(value, 0);
}

function isWhole(value: unknown, depth: number): boolean {
  if (depth > canonicalJsonDepthMax) return false;
  if (typeof value === "string") return !loneSurrogate.test(value);
  if (typeof value === "number") return Number.isFinite(value);
  if (typeof value !== "object" || value === null) return true;
  if (Array.isArray(value)) return value.every((one) => isWhole(one, depth + 1));
  return Object.entries(value).every(
    ([name, member]) => !loneSurrogate.test(name) && isWhole(member, depth + 1),
  );
}

const loneSurrogate = /\p{Surrogate}/u;

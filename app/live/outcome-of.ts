// What an act came to, for the person: a value, or why not.
//
// [outcome-of 1] Every act comes to a value or to a refusal with sentences for the person; none throws.

import type { Outcome } from "./live-shelf.ts";
import { refusalOf } from "./refusal-of.ts";

/** Does the act, and tells what it came to. Errors: none. */
export async function outcomeOf<Value>(act: () => Promise<Value>): Promise<Outcome<Value>> {
  try {
    return { value: await act(), refusal: null };
  } catch (cause) {
    return { value: null, refusal: refusalOf(cause) };
  }
}

// Seeds that found a fault, and what they found. They stay.

/** A seed, and what it found. */
export type Regression = { readonly seed: number; readonly found: string };

/** Every seed that found a fault of the product. */
export const regressions: readonly Regression[] = [
  {
    seed: 101,
    found:
      "a pull of some sixty new entries fell out of its transaction and was reported as failed",
  },
  {
    seed: 330,
    found: "an unreadable answer to the request for the inject script broke a round that was done",
  },
  {
    seed: 133,
    found:
      "a liar's claim to have seen what came later put honest entries before what they had seen",
  },
  {
    seed: 144,
    found:
      "a director's device let itself in, which counts for nothing, and no other director let it in",
  },
];

// Branded strings: ids of different things that the compiler keeps apart.
// A brand exists for the compiler only; at run time an id is the string that the document holds.

declare const brand: unique symbol;

/**
 * A string that stands for one sort of thing, named by `Name`; any other string is refused by the
 * compiler.
 */
export type Branded<Name extends string> = string & { readonly [brand]: Name };

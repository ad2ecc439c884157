// A planted bug.

/** A bug to plant in the product, by which the simulation is tested. */
export type Mutant = {
  readonly name: string;
  /** Path from the project's folder. */
  readonly file: string;
  /** Text that is in the file exactly once. */
  readonly find: string;
  readonly replace: string;
  /** What is wrong with it then. */
  readonly breaks: string;
};

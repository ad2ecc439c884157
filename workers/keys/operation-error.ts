// The base of all errors by which the world, not our code, keeps something from being done.

/**
 * Something that the world did: no room, no network, a locked database.
 *
 * `message` is a sentence for the person that says what happened; `mend` says what to do.
 * Each subclass has a file of its own.
 */
export abstract class OperationError extends Error {
  abstract override readonly name: string;
  /** For the person: what to do. */
  abstract readonly mend: string;
}

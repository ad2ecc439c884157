// The check for our own mistakes. It stays on in production.
// Faults in what came in are data, not assertions; see `procedure/fault.ts`.

/**
 * Throws if the condition does not hold, and tells the compiler that it does.
 *
 * @param message what had to hold and did not, for the one who reads the log
 * Errors: an `Error` whose message begins with "Assertion failed: ".
 */
export function assert(condition: unknown, message: string): asserts condition {
  if (!condition) {
    throw new Error(`Assertion failed: ${message}`);
  }
}

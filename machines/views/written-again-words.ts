// The word for a tablet that was put back to an older copy of itself.

/** "This tablet was put back to an older copy; 3 entries were written again." `count` is 1 or more. */
export function writtenAgainWords(count: number): string {
  const entries = count === 1 ? "1 entry was" : `${count} entries were`;
  return `This tablet was put back to an older copy; ${entries} written again.`;
}

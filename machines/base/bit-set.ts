// Sets of small whole numbers, many of equal size side by side: a table of bits.
//
// [bit-set 1] A number is in a row's set exactly if it was put in, by itself or with another row.

/** Rows of bits; each row is a set of whole numbers below `columns`. */
export type BitTable = {
  readonly words: Uint32Array;
  readonly wordsPerRow: number;
};

/** A table of empty sets. Errors: a RangeError if there is no room for it. */
export function createBitTable(rows: number, columns: number): BitTable {
  const wordsPerRow = (columns + 31) >>> 5;
  return { words: new Uint32Array(rows * wordsPerRow), wordsPerRow };
}

/** Whether the number is in the row's set. Errors: none. */
export function hasBit({ words, wordsPerRow }: BitTable, row: number, column: number): boolean {
  const word = words[row * wordsPerRow + (column >>> 5)] as number;
  return ((word >>> (column & 31)) & 1) === 1;
}

/** Puts a number into the row's set. Errors: none. */
export function setBit({ words, wordsPerRow }: BitTable, row: number, column: number): void {
  const place = row * wordsPerRow + (column >>> 5);
  words[place] = (words[place] as number) | (1 << (column & 31));
}

/** Puts everything of one row's set into another's. Errors: none. */
export function addRow({ words, wordsPerRow }: BitTable, from: number, into: number): void {
  const fromPlace = from * wordsPerRow;
  const intoPlace = into * wordsPerRow;
  for (let word = 0; word < wordsPerRow; word += 1) {
    const place = intoPlace + word;
    words[place] = (words[place] as number) | (words[fromPlace + word] as number);
  }
}

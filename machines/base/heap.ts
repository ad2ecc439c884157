// A binary heap: the least of what it holds is always at hand.
//
// [heap 1] It gives back all that was put in, each once, in non-decreasing order.

/** A heap of values, ordered by the `isBefore` that it was made with. */
export type Heap<Value> = {
  /** Puts a value in; time logarithmic in what it holds. */
  readonly push: (value: Value) => void;
  /** Takes the least value out; undefined if there is none. */
  readonly pop: () => Value | undefined;
  readonly size: () => number;
};

/**
 * An empty heap.
 *
 * @param isBefore a strict weak order: whether the first value comes before the second
 * Errors: none.
 */
export function createHeap<Value>(isBefore: (a: Value, b: Value) => boolean): Heap<Value> {
  const values: Value[] = [];
  return {
    push: (value) => {
      values.push(value);
      siftUp(values, isBefore);
    },
    pop: () => {
      const [least] = values;
      const last = values.pop();
      if (last !== undefined && values.length > 0) {
        values[0] = last;
        siftDown(values, isBefore);
      }
      return least;
    },
    size: () => values.length,
  };
}

// Moves the last value up to its place.
function siftUp<Value>(values: Value[], isBefore: (a: Value, b: Value) => boolean): void {
  let child = values.length - 1;
  while (child > 0) {
    const parent = (child - 1) >> 1;
    if (!isBefore(values[child] as Value, values[parent] as Value)) return;
    swap(values, child, parent);
    child = parent;
  }
}

// Moves the first value down to its place.
function siftDown<Value>(values: Value[], isBefore: (a: Value, b: Value) => boolean): void {
  let parent = 0;
  for (;;) {
    const left = 2 * parent + 1;
    const right = left + 1;
    let least = parent;
    if (left < values.length && isBefore(values[left] as Value, values[least] as Value)) {
      least = left;
    }
    if (right < values.length && isBefore(values[right] as Value, values[least] as Value)) {
      least = right;
    }
    if (least === parent) return;
    swap(values, parent, least);
    parent = least;
  }
}

function swap<Value>(values: Value[], a: number, b: number): void {
  const kept = values[a] as Value;
  values[a] = values[b] as Value;
  values[b] = kept;
}

// A linear program in its plainest form: the most that a sum comes to under limits.
//
// Definition: maximise gains · x over x >= 0 such that each row · x is at most its limit, with limits of
//   nothing or more.
// [linear-program 1] `value` is the greatest sum; null: it grows without end.
// [linear-program 2] `prices`, one a row, of nothing or more, are what the sum would gain if a limit were
//   raised by one; they also solve the dual: they cover every gain, at the least total of limits.
// For tens of rows and columns: the whole table is rewritten in every step.

/** What is to be solved: each row has one number for each gain. */
export type LinearProgram = {
  readonly gains: readonly number[];
  readonly rows: readonly (readonly number[])[];
  readonly limits: readonly number[];
};

/** The greatest sum and the price of each limit; null where the sum grows without end. */
export type LinearSolution = { readonly value: number; readonly prices: readonly number[] } | null;

const tiny = 1e-9;

/**
 * Solves a linear program.
 *
 * Errors: none.
 * Source: Dantzig's simplex method; Bland 1977, "New finite pivoting rules for the simplex method", for
 *   the choice that cannot go round in circles. Checked against a solver library in
 *   tests/unit/machines/base/linear-program.test.ts
 */
export function maximise({ gains, rows, limits }: LinearProgram): LinearSolution {
  const columns = gains.length;
  const table = rows.map((row, place) => [
    ...row,
    ...rows.map((_, other) => (other === place ? 1 : 0)),
    limits[place] ?? 0,
  ]);
  const goal = [...gains.map((gain) => -gain), ...rows.map(() => 0), 0];
  const basis = rows.map((_, place) => columns + place);
  for (;;) {
    const entering = goal.findIndex((gain, column) => gain < -tiny && column < goal.length - 1);
    if (entering < 0) return { value: goal.at(-1) ?? 0, prices: goal.slice(columns, -1) };
    const leaving = rowThatLeaves(table, basis, entering);
    if (leaving < 0) return null;
    pivotMutable([...table, goal], leaving, entering);
    basis[leaving] = entering;
  }
}

// The row whose limit is met first; of several the one of the lowest column.
function rowThatLeaves(table: readonly number[][], basis: readonly number[], entering: number) {
  let leaving = -1;
  let ratioLeast = Infinity;
  for (const [place, row] of table.entries()) {
    const step = row[entering] ?? 0;
    if (step <= tiny) continue;
    const ratio = (row.at(-1) ?? 0) / step;
    const isTie = Math.abs(ratio - ratioLeast) <= tiny;
    if (isTie ? (basis[place] ?? 0) < (basis[leaving] ?? 0) : ratio < ratioLeast) {
      leaving = place;
      ratioLeast = ratio;
    }
  }
  return leaving;
}

function pivotMutable(table: readonly number[][], pivotRow: number, pivotColumn: number): void {
  const pivot = table[pivotRow] ?? [];
  const by = pivot[pivotColumn] ?? 1;
  for (const [column, value] of pivot.entries()) pivot[column] = value / by;
  for (const row of table) {
    const times = row[pivotColumn] ?? 0;
    if (row === pivot || times === 0) continue;
    for (const [column, value] of pivot.entries()) row[column] = (row[column] ?? 0) - times * value;
  }
}

/**
 * n rows of `width` numbers: L with L Lᵀ the covariance, so that L z (z standard normal) has it. `width` is the rank made
 * up with zeros to a multiple of four, for `dot`.
 */
export interface Factor {
  readonly width: number;
  readonly rows: Float64Array;
}

/** Share of a cell's whole variance that may be left out: 0.1 % of its standard deviation. */
const TOLERANCE = 2e-3;

/**
 * Factor of a smooth covariance by pivoted Cholesky, cut where no cell misses more than a five-hundredth of `whole`, its
 * variance from all causes. Smooth errors over a hundred cells need a dozen numbers, not a hundred, and a plain
 * Cholesky would meet pivots at rounding level.
 *
 * @source H. Harbrecht, M. Peters, R. Schneider, Appl. Numer. Math. 62 (2012) 428-440.
 */
export function lowRankFactor(
  covariance: (i: number, j: number) => number,
  whole: readonly number[],
  tolerance = TOLERANCE,
): Factor {
  const n = whole.length;
  const sd = Float64Array.from(whole, (variance) => Math.sqrt(variance));
  // What is left of each cell's variance, as a share of the whole.
  const left = sd.map((value, i) => (value > 0 ? covariance(i, i) / (value * value) : 0));
  const columns: Float64Array[] = [];
  while (columns.length < n) {
    let pivot = 0;
    for (let i = 1; i < n; i++) if ((left[i] as number) > (left[pivot] as number)) pivot = i;
    const most = left[pivot] as number;
    if (!(most > tolerance)) break;
    const column = new Float64Array(n);
    const root = Math.sqrt(most);
    for (let i = 0; i < n; i++) {
      if (!((sd[i] as number) > 0)) continue;
      let value = covariance(i, pivot) / ((sd[i] as number) * (sd[pivot] as number));
      for (const done of columns) value -= (done[i] as number) * (done[pivot] as number);
      column[i] = value / root;
      left[i] = Math.max(0, (left[i] as number) - (column[i] as number) ** 2);
    }
    left[pivot] = 0;
    columns.push(column);
  }
  return factorOf(
    columns.map((column) => column.map((value, i) => value * (sd[i] as number))),
    n,
  );
}

/** A factor of these columns of n numbers, as they are. */
export function factorOf(columns: readonly ArrayLike<number>[], n: number): Factor {
  const width = Math.ceil(columns.length / 4) * 4;
  const rows = new Float64Array(n * width);
  columns.forEach((column, k) => {
    for (let i = 0; i < n; i++) rows[i * width + k] = column[i] as number;
  });
  return { width, rows };
}

/** The columns that `factorOf` would make this factor of. */
export const columnsOf = ({ width, rows }: Factor): Float64Array[] =>
  Array.from({ length: width }, (_, k) => rows.filter((_value, i) => i % width === k));

/**
 * Row i of a factor times z[from..]. Four sums run side by side: one alone would wait for each addition to end.
 */
export function dot(rows: Float64Array, width: number, i: number, z: Float64Array, from: number): number {
  let a = 0;
  let b = 0;
  let c = 0;
  let d = 0;
  for (let k = from, at = i * width, end = at + width; at < end; k += 4, at += 4) {
    a += (rows[at] as number) * (z[k] as number);
    b += (rows[at + 1] as number) * (z[k + 1] as number);
    c += (rows[at + 2] as number) * (z[k + 2] as number);
    d += (rows[at + 3] as number) * (z[k + 3] as number);
  }
  return a + b + (c + d);
}

/** Adds row i of a factor times each of the first `count` vectors in `z`, which lie one after another, to `into`. */
export function addDots(factor: Factor, i: number, z: Float64Array, into: Float64Array, count: number): void {
  const { width, rows } = factor;
  for (let b = 0; b < count; b++) into[b] = (into[b] as number) + dot(rows, width, i, z, b * width);
}

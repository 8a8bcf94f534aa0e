/** Whitened rows gathered at a time: a sum of eight products costs half of eight sums of one. */
export const batch = 8;

/** Rows that wait to be gathered: column k of row r at `8 k + r`, the residual after the columns. */
export interface Waiting {
  readonly lines: Float64Array;
  count: number;
}

/** Columns that are remembered just now: any of the sparse ones, in no order, then all dense ones. */
export interface Active {
  readonly list: Int32Array;
  count: number;
}

/**
 * Adds the waiting rows to the sums and forgets them. A pair of columns is added on one side of the diagonal, on either: `mirror` joins
 * the two.
 *
 * @param size number of columns, the residual's place in the lines
 */
export function gather(
  waiting: Waiting,
  { list, count }: Active,
  size: number,
  matrix: Float64Array,
  vector: Float64Array,
  gathered: Float64Array,
): void {
  if (waiting.count === 0) return;
  const { lines } = waiting;
  const y = batch * size;
  for (let a = 0; a < count; a++) {
    const k = list[a]!;
    const v = batch * k;
    const v0 = lines[v]!;
    const v1 = lines[v + 1]!;
    const v2 = lines[v + 2]!;
    const v3 = lines[v + 3]!;
    const v4 = lines[v + 4]!;
    const v5 = lines[v + 5]!;
    const v6 = lines[v + 6]!;
    const v7 = lines[v + 7]!;
    const base = k * size;
    for (let b = 0; b <= a; b++) {
      const j = list[b]!;
      const w = batch * j;
      matrix[base + j] =
        matrix[base + j]! +
        (v0 * lines[w]! + v1 * lines[w + 1]! + v2 * lines[w + 2]! + v3 * lines[w + 3]!) +
        (v4 * lines[w + 4]! + v5 * lines[w + 5]! + v6 * lines[w + 6]! + v7 * lines[w + 7]!);
    }
    const pull =
      v0 * lines[y]! +
      v1 * lines[y + 1]! +
      v2 * lines[y + 2]! +
      v3 * lines[y + 3]! +
      (v4 * lines[y + 4]! + v5 * lines[y + 5]! + v6 * lines[y + 6]! + v7 * lines[y + 7]!);
    vector[k] = vector[k]! + pull;
    gathered[k] = gathered[k]! + pull;
  }
  lines.fill(0);
  waiting.count = 0;
}

/** Joins the two sides of the diagonal. */
export function mirror(matrix: Float64Array, size: number): void {
  for (let r = 0; r < size; r++)
    for (let c = r + 1; c < size; c++) {
      const both = matrix[r * size + c]! + matrix[c * size + r]!;
      matrix[r * size + c] = both;
      matrix[c * size + r] = both;
    }
}

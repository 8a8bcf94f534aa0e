import type { Whitening } from "./noise.js";
import type { Transport } from "./transport.js";

/** Straight-line basis at every row of the grid: the row's left cell and the two weights [1]. */
export interface Basis {
  /** Number of cells. */
  readonly size: number;
  readonly cell: Int32Array;
  readonly left: Float64Array;
  readonly right: Float64Array;
}

/** Normal equations of one pass: x'Ax - 2 b'x + c over whitened rows; A row-major, lower triangle filled. */
export interface NormalSums {
  readonly size: number;
  readonly matrix: Float64Array;
  readonly vector: Float64Array;
  readonly squares: number;
  readonly rows: number;
}

/** Below this share a cell's trace in sensor and noise memory is dropped: it would carry 1e-10 of the information. */
const forgotten = 1e-5;

/**
 * One pass: carries the basis through transport and sensor, whitens it and the dense columns together with the residual,
 * and gathers the normal equations. Only the cells that sensor and noise still remember are touched, so the cost a row does
 * not grow with the table.
 *
 * @param columns  nuisance columns, as read by the sensor [1]
 * @param residual ln lambda less the model so far [1]; NaN allowed where `use` is 0
 */
export function passOver(
  basis: Basis,
  transport: Transport,
  white: Whitening,
  use: Uint8Array,
  restart: Uint8Array,
  columns: readonly Float64Array[],
  residual: Float64Array,
): NormalSums {
  const cells = basis.size;
  const extra = columns.length;
  const size = cells + extra;
  const n = residual.length;
  const { row, share, decay: a, before, now } = transport;
  const { gain, inverseSd, decay: memory } = white;
  const { cell, left, right } = basis;
  const matrix = new Float64Array(size * size);
  const vector = new Float64Array(size);
  const state = new Float64Array(cells);
  const mean = new Float64Array(size);
  const line = new Float64Array(size);
  let residualMean = 0;
  let squares = 0;
  let rows = 0;
  let lo = 0;
  let hi = -1;
  let pi = 0;
  let pf = 0;
  for (let t = 0; t < n; t++) {
    const i = row[t]!;
    const f = share[t]!;
    const i1 = i + 1 < n ? i + 1 : i;
    let c0 = cell[i]!;
    const c1 = cell[i1]!;
    const fresh = restart[t] === 1;
    if (fresh) {
      for (let k = lo; k <= hi; k++) {
        state[k] = 0;
        mean[k] = 0;
      }
      for (let q = cells; q < size; q++) mean[q] = 0;
      residualMean = 0;
      lo = c0;
      hi = c0 + 1;
    }
    // Widen the window to the cells that enter.
    if (c0 < lo) lo = c0;
    if (c1 < lo) lo = c1;
    if (c0 + 1 > hi) hi = c0 + 1;
    if (c1 + 1 > hi) hi = c1 + 1;
    if (!fresh && a !== 1) for (let k = lo; k <= hi; k++) state[k] = a * state[k]!;
    const w = fresh ? 1 : now;
    let x = w * (1 - f);
    state[c0] = state[c0]! + x * left[i]!;
    state[c0 + 1] = state[c0 + 1]! + x * right[i]!;
    if (f !== 0) {
      x = w * f;
      state[c1] = state[c1]! + x * left[i1]!;
      state[c1 + 1] = state[c1 + 1]! + x * right[i1]!;
    }
    if (!fresh && before !== 0) {
      const p1 = pi + 1 < n ? pi + 1 : pi;
      c0 = cell[pi]!;
      x = before * (1 - pf);
      state[c0] = state[c0]! + x * left[pi]!;
      state[c0 + 1] = state[c0 + 1]! + x * right[pi]!;
      if (pf !== 0) {
        const c = cell[p1]!;
        x = before * pf;
        state[c] = state[c]! + x * left[p1]!;
        state[c + 1] = state[c + 1]! + x * right[p1]!;
      }
    }
    pi = i;
    pf = f;
    if (use[t] === 1) {
      const g = gain[t]!;
      const scale = inverseSd[t]!;
      for (let k = lo; k <= hi; k++) {
        const surprise = state[k]! - mean[k]!;
        line[k] = surprise * scale;
        mean[k] = memory * (mean[k]! + g * surprise);
      }
      for (let q = 0; q < extra; q++) {
        const k = cells + q;
        const surprise = columns[q]![t]! - mean[k]!;
        line[k] = surprise * scale;
        mean[k] = memory * (mean[k]! + g * surprise);
      }
      const surprise = residual[t]! - residualMean;
      residualMean = memory * (residualMean + g * surprise);
      const y = surprise * scale;
      squares += y * y;
      rows++;
      for (let k = lo; k <= hi; k++) {
        const v = line[k]!;
        const base = k * size;
        for (let j = lo; j <= k; j++) matrix[base + j] = matrix[base + j]! + v * line[j]!;
        vector[k] = vector[k]! + v * y;
      }
      for (let k = cells; k < size; k++) {
        const v = line[k]!;
        const base = k * size;
        for (let j = lo; j <= hi; j++) matrix[base + j] = matrix[base + j]! + v * line[j]!;
        for (let j = cells; j <= k; j++) matrix[base + j] = matrix[base + j]! + v * line[j]!;
        vector[k] = vector[k]! + v * y;
      }
    } else {
      for (let k = lo; k <= hi; k++) mean[k] = memory * mean[k]!;
      for (let k = cells; k < size; k++) mean[k] = memory * mean[k]!;
      residualMean *= memory;
    }
    if ((t & 7) === 7) {
      while (lo < hi && Math.abs(state[lo]!) < forgotten && Math.abs(mean[lo]!) < forgotten) {
        state[lo] = 0;
        mean[lo++] = 0;
      }
      while (hi > lo && Math.abs(state[hi]!) < forgotten && Math.abs(mean[hi]!) < forgotten) {
        state[hi] = 0;
        mean[hi--] = 0;
      }
    }
  }
  for (let r = 0; r < size; r++)
    for (let c = r + 1; c < size; c++) matrix[r * size + c] = matrix[c * size + r]!;
  return { size, matrix, vector, squares, rows };
}

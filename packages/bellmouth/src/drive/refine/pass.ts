import type { Whitening } from "./noise.js";
import type { Transport } from "./transport.js";

/**
 * Straight-line basis at every row of the grid: the row's left cell and the two weights, in flow [kg/s], so that their
 * sum is the metered air. Relative errors of air that is mixed over time mix by flow.
 */
export interface Basis {
  /** Number of cells. */
  readonly size: number;
  readonly cell: Int32Array;
  readonly left: Float64Array;
  readonly right: Float64Array;
}

/** A first-order lag with a time constant that changes from row to row, for input joined by straight lines. */
export interface Mixing {
  readonly decay: Float64Array;
  readonly before: Float64Array;
  readonly now: Float64Array;
}

/** Normal equations of one pass: x'Ax - 2 b'x + c over whitened rows; A row-major. */
export interface NormalSums {
  readonly size: number;
  readonly matrix: Float64Array;
  readonly vector: Float64Array;
  readonly squares: number;
  readonly rows: number;
  /** The vector by stretches of the drive, for `misfitOf`; stretches add to `vector`. */
  readonly stretches: readonly Float64Array[];
}

/** Below this share a cell's trace in the memories is dropped: it would carry 1e-10 of the information. */
const forgotten = 1e-5;

/**
 * One pass: mixes the basis as the ECU's filter mixes air, carries it through transport and sensor, whitens it and the dense columns
 * together with the residual, and gathers the normal equations. Only the cells that are still remembered are touched, so
 * the cost a row does not grow with the table.
 *
 * @param columns  nuisance columns, as read by the sensor [1]
 * @param residual ln lambda less the model so far [1]; anything where `use` is 0
 * @param stretch  rows used to a stretch
 */
export function passOver(
  basis: Basis,
  mixing: Mixing,
  transport: Transport,
  white: Whitening,
  use: Uint8Array,
  restart: Uint8Array,
  columns: readonly Float64Array[],
  residual: Float64Array,
  stretch = Number.POSITIVE_INFINITY,
): NormalSums {
  const cells = basis.size;
  const extra = columns.length;
  const size = cells + extra;
  const n = residual.length;
  const { row, share, decay: lagDecay, before: lagBefore, now: lagNow } = transport;
  const { gain, inverseSd, decay: memory } = white;
  const { cell, left, right } = basis;
  const matrix = new Float64Array(size * size);
  const vector = new Float64Array(size);
  // Flow by cell in the ECU's filter after the row before the dosing instant and after the row behind it.
  let behind = new Float64Array(cells);
  let ahead = new Float64Array(cells);
  let flowBehind = 1;
  let flowAhead = 1;
  let at = -1;
  /** Shares by cell at the dosing instant, now and one row ago; what the sensor shows; what the noise remembers. */
  let dosed = new Float64Array(cells);
  let dosedBefore = new Float64Array(cells);
  const shown = new Float64Array(cells);
  const mean = new Float64Array(size);
  const line = new Float64Array(size);
  const stretches: Float64Array[] = [];
  let gathered = new Float64Array(size);
  let residualMean = 0;
  let squares = 0;
  let rows = 0;
  let lo = 0;
  let hi = -1;

  const add = (into: Float64Array, i: number, factor: number): void => {
    const c = cell[i]!;
    into[c] = into[c]! + factor * left[i]!;
    into[c + 1] = into[c + 1]! + factor * right[i]!;
  };
  const widen = (i: number): void => {
    const c = cell[i]!;
    if (hi < lo) {
      lo = c;
      hi = c + 1;
      return;
    }
    if (c < lo) lo = c;
    if (c + 1 > hi) hi = c + 1;
  };
  /** Moves the filter on to the row `i` in `ahead`. */
  const advance = (i: number): void => {
    const swap = behind;
    behind = ahead;
    ahead = swap;
    flowBehind = flowAhead;
    widen(i);
    if (restart[i] === 1 || i === 0) {
      ahead.fill(0);
      add(ahead, i, 1);
      flowAhead = left[i]! + right[i]!;
      return;
    }
    const decay = mixing.decay[i]!;
    for (let k = lo; k <= hi; k++) ahead[k] = decay * behind[k]!;
    add(ahead, i - 1, mixing.before[i]!);
    add(ahead, i, mixing.now[i]!);
    flowAhead =
      decay * flowBehind +
      mixing.before[i]! * (left[i - 1]! + right[i - 1]!) +
      mixing.now[i]! * (left[i]! + right[i]!);
  };

  for (let t = 0; t < n; t++) {
    const i = row[t]!;
    const f = share[t]!;
    const next = i + 1 < n ? i + 1 : i;
    const fresh = restart[t] === 1 || t === 0;
    if (fresh) {
      for (const memoryOf of [shown, mean, dosed, dosedBefore, behind, ahead]) memoryOf.fill(0);
      residualMean = 0;
      lo = 0;
      hi = -1;
      advance(i);
      at = i;
    }
    while (at < next) advance(++at);
    const swap = dosedBefore;
    dosedBefore = dosed;
    dosed = swap;
    const a = (1 - f) / flowBehind;
    const b = f / flowAhead;
    for (let k = lo; k <= hi; k++) dosed[k] = a * behind[k]! + b * ahead[k]!;
    if (fresh) shown.set(dosed);
    else
      for (let k = lo; k <= hi; k++)
        shown[k] = lagDecay * shown[k]! + lagBefore * dosedBefore[k]! + lagNow * dosed[k]!;
    if (use[t] === 1) {
      const g = gain[t]!;
      const scale = inverseSd[t]!;
      for (let k = lo; k <= hi; k++) {
        const surprise = shown[k]! - mean[k]!;
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
      if (++rows % stretch === 0) {
        stretches.push(gathered);
        gathered = new Float64Array(size);
      }
      for (let k = lo; k <= hi; k++) {
        const v = line[k]!;
        const base = k * size;
        for (let j = lo; j <= k; j++) matrix[base + j] = matrix[base + j]! + v * line[j]!;
        vector[k] = vector[k]! + v * y;
        gathered[k] = gathered[k]! + v * y;
      }
      for (let k = cells; k < size; k++) {
        const v = line[k]!;
        const base = k * size;
        for (let j = lo; j <= hi; j++) matrix[base + j] = matrix[base + j]! + v * line[j]!;
        for (let j = cells; j <= k; j++) matrix[base + j] = matrix[base + j]! + v * line[j]!;
        vector[k] = vector[k]! + v * y;
        gathered[k] = gathered[k]! + v * y;
      }
    } else {
      for (let k = lo; k <= hi; k++) mean[k] = memory * mean[k]!;
      for (let k = cells; k < size; k++) mean[k] = memory * mean[k]!;
      residualMean *= memory;
    }
    if ((t & 7) === 7) {
      const idle = (k: number): boolean =>
        Math.abs(shown[k]!) < forgotten &&
        Math.abs(mean[k]!) < forgotten &&
        Math.abs(dosed[k]!) < forgotten &&
        Math.abs(ahead[k]!) < forgotten * flowAhead;
      const drop = (k: number): void => {
        shown[k] = 0;
        mean[k] = 0;
        dosed[k] = 0;
        dosedBefore[k] = 0;
        ahead[k] = 0;
        behind[k] = 0;
      };
      while (lo < hi && idle(lo)) drop(lo++);
      while (hi > lo && idle(hi)) drop(hi--);
    }
  }
  for (let r = 0; r < size; r++)
    for (let c = r + 1; c < size; c++) matrix[r * size + c] = matrix[c * size + r]!;
  stretches.push(gathered);
  return { size, matrix, vector, squares, rows, stretches };
}

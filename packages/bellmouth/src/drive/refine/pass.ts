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

/** Whitened rows gathered at a time: a sum of eight products costs half of eight sums of one. */
const batch = 8;

/** Rows that wait to be gathered: column k of row r at `8 k + r`, the residual after the columns. */
interface Waiting {
  readonly lines: Float64Array;
  /** Range of cells that any of the rows touches. */
  lo: number;
  hi: number;
  count: number;
}

/** Adds the waiting rows to the lower triangle and to the vectors, and forgets them. */
function gather(
  waiting: Waiting,
  cells: number,
  size: number,
  matrix: Float64Array,
  vector: Float64Array,
  gathered: Float64Array,
): void {
  const { lines, lo, hi, count } = waiting;
  if (count === 0) return;
  for (let k = lo; k < size; k = k === hi ? cells : k + 1) {
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
    for (let j = lo; j <= k; j = j === hi ? cells : j + 1) {
      const w = batch * j;
      matrix[base + j] =
        matrix[base + j]! +
        (v0 * lines[w]! + v1 * lines[w + 1]! + v2 * lines[w + 2]! + v3 * lines[w + 3]!) +
        (v4 * lines[w + 4]! + v5 * lines[w + 5]! + v6 * lines[w + 6]! + v7 * lines[w + 7]!);
    }
    const y = batch * size;
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
  waiting.lo = cells;
  waiting.hi = -1;
  waiting.count = 0;
}

/** Copies the lower triangle into the upper one. */
function mirror(matrix: Float64Array, size: number): void {
  for (let r = 0; r < size; r++)
    for (let c = r + 1; c < size; c++) matrix[r * size + c] = matrix[c * size + r]!;
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
  const lines = new Float64Array(batch * (size + 1));
  const waiting: Waiting = { lines, lo: cells, hi: -1, count: 0 };
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
      const r = waiting.count++;
      for (let k = lo; k <= hi; k++) {
        const surprise = shown[k]! - mean[k]!;
        lines[batch * k + r] = surprise * scale;
        mean[k] = memory * (mean[k]! + g * surprise);
      }
      for (let q = 0; q < extra; q++) {
        const k = cells + q;
        const surprise = columns[q]![t]! - mean[k]!;
        lines[batch * k + r] = surprise * scale;
        mean[k] = memory * (mean[k]! + g * surprise);
      }
      const surprise = residual[t]! - residualMean;
      residualMean = memory * (residualMean + g * surprise);
      const y = surprise * scale;
      lines[batch * size + r] = y;
      squares += y * y;
      if (lo < waiting.lo) waiting.lo = lo;
      if (hi > waiting.hi) waiting.hi = hi;
      const whole = ++rows % stretch === 0;
      if (whole || r === batch - 1) gather(waiting, cells, size, matrix, vector, gathered);
      if (whole) {
        stretches.push(gathered);
        gathered = new Float64Array(size);
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
  gather(waiting, cells, size, matrix, vector, gathered);
  mirror(matrix, size);
  return { size, matrix, vector, squares, rows, stretches: ended(stretches, gathered, rows % stretch === 0) };
}

/** The stretches with the last one, unless it is empty. */
const ended = (stretches: Float64Array[], last: Float64Array, empty: boolean): Float64Array[] =>
  empty && stretches.length > 0 ? stretches : [...stretches, last];

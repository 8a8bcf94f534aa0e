import { batch, gather, mirror, type Waiting } from "./gather.js";
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

/** Places of the numbers that change from row to row, kept in an array: as fields they would be boxed. */
const at = { airBehind: 0, airAhead: 1, residualMean: 2, squares: 3 } as const;

/** What a pass remembers from row to row. */
interface State {
  readonly basis: Basis;
  readonly mixing: Mixing;
  readonly restart: Uint8Array;
  readonly numbers: Float64Array;
  /** Flow by cell in the ECU's filter after the row before the dosing instant and after the row behind it. */
  behind: Float64Array;
  ahead: Float64Array;
  /** Shares by cell at the dosing instant, now and one row ago; what the sensor shows; what the noise remembers. */
  dosed: Float64Array;
  dosedBefore: Float64Array;
  readonly shown: Float64Array;
  readonly mean: Float64Array;
  /** Range of cells that is remembered, and the row that the filter has come to. */
  lo: number;
  hi: number;
  row: number;
}

/** Adds row `i` of the basis to `into`. */
function addBasis(into: Float64Array, { cell, left, right }: Basis, i: number, factor: number): void {
  const c = cell[i]!;
  into[c] = into[c]! + factor * left[i]!;
  into[c + 1] = into[c + 1]! + factor * right[i]!;
}

/** Moves the filter on to row `i`, which comes to lie in `ahead`. */
function advance(state: State, i: number): void {
  const { basis, mixing, numbers, behind: ahead, ahead: behind } = state;
  const { cell, left, right } = basis;
  state.behind = behind;
  state.ahead = ahead;
  state.row = i;
  numbers[at.airBehind] = numbers[at.airAhead]!;
  const c = cell[i]!;
  if (state.hi < state.lo) {
    state.lo = c;
    state.hi = c + 1;
  } else {
    if (c < state.lo) state.lo = c;
    if (c + 1 > state.hi) state.hi = c + 1;
  }
  if (state.restart[i] === 1 || i === 0) {
    ahead.fill(0);
    addBasis(ahead, basis, i, 1);
    numbers[at.airAhead] = left[i]! + right[i]!;
    return;
  }
  const decay = mixing.decay[i]!;
  const before = mixing.before[i]!;
  const now = mixing.now[i]!;
  const { lo, hi } = state;
  for (let k = lo; k <= hi; k++) ahead[k] = decay * behind[k]!;
  addBasis(ahead, basis, i - 1, before);
  addBasis(ahead, basis, i, now);
  numbers[at.airAhead] =
    decay * numbers[at.airBehind]! + before * (left[i - 1]! + right[i - 1]!) + now * (left[i]! + right[i]!);
}

/** What the sensor shows of each cell's share at row `t`. */
function show(state: State, transport: Transport, t: number): void {
  const i = transport.row[t]!;
  const f = transport.share[t]!;
  const { restart, numbers, shown } = state;
  const fresh = restart[t] === 1 || t === 0;
  if (fresh) {
    shown.fill(0);
    state.mean.fill(0);
    state.dosed.fill(0);
    state.dosedBefore.fill(0);
    state.behind.fill(0);
    state.ahead.fill(0);
    numbers[at.residualMean] = 0;
    state.lo = 0;
    state.hi = -1;
    advance(state, i);
  }
  const next = i + 1 < restart.length ? i + 1 : i;
  while (state.row < next) advance(state, state.row + 1);
  const { dosed: dosedBefore, dosedBefore: dosed, behind, ahead, lo, hi } = state;
  state.dosed = dosed;
  state.dosedBefore = dosedBefore;
  const a = (1 - f) / numbers[at.airBehind]!;
  const b = f / numbers[at.airAhead]!;
  const { decay, before, now } = transport;
  if (fresh) {
    for (let k = lo; k <= hi; k++) dosed[k] = a * behind[k]! + b * ahead[k]!;
    shown.set(dosed);
    return;
  }
  for (let k = lo; k <= hi; k++) {
    const share = a * behind[k]! + b * ahead[k]!;
    dosed[k] = share;
    shown[k] = decay * shown[k]! + before * dosedBefore[k]! + now * share;
  }
}

/** Whitens a row that is used into the waiting ones. */
function whiten(
  state: State,
  waiting: Waiting,
  white: Whitening,
  columns: readonly Float64Array[],
  residual: Float64Array,
  t: number,
): void {
  const { numbers, shown, mean, lo, hi } = state;
  const { lines } = waiting;
  const cells = shown.length;
  const { decay: memory } = white;
  const g = white.gain[t]!;
  const scale = white.inverseSd[t]!;
  const r = waiting.count++;
  for (let k = lo; k <= hi; k++) {
    const surprise = shown[k]! - mean[k]!;
    lines[batch * k + r] = surprise * scale;
    mean[k] = memory * (mean[k]! + g * surprise);
  }
  for (let q = 0; q < columns.length; q++) {
    const k = cells + q;
    const surprise = columns[q]![t]! - mean[k]!;
    lines[batch * k + r] = surprise * scale;
    mean[k] = memory * (mean[k]! + g * surprise);
  }
  const surprise = residual[t]! - numbers[at.residualMean]!;
  numbers[at.residualMean] = memory * (numbers[at.residualMean]! + g * surprise);
  const y = surprise * scale;
  lines[batch * mean.length + r] = y;
  numbers[at.squares] = numbers[at.squares]! + y * y;
  if (lo < waiting.lo) waiting.lo = lo;
  if (hi > waiting.hi) waiting.hi = hi;
}

/** A row that is left out: what the noise remembers fades. */
function fade({ numbers, shown, mean, lo, hi }: State, memory: number): void {
  for (let k = lo; k <= hi; k++) mean[k] = memory * mean[k]!;
  for (let k = shown.length; k < mean.length; k++) mean[k] = memory * mean[k]!;
  numbers[at.residualMean] = numbers[at.residualMean]! * memory;
}

const idle = ({ shown, mean, dosed, ahead, numbers }: State, k: number): boolean =>
  Math.abs(shown[k]!) < forgotten &&
  Math.abs(mean[k]!) < forgotten &&
  Math.abs(dosed[k]!) < forgotten &&
  Math.abs(ahead[k]!) < forgotten * numbers[at.airAhead]!;

function drop({ shown, mean, dosed, dosedBefore, ahead, behind }: State, k: number): void {
  shown[k] = 0;
  mean[k] = 0;
  dosed[k] = 0;
  dosedBefore[k] = 0;
  ahead[k] = 0;
  behind[k] = 0;
}

/** Narrows the range of cells to those that are still remembered. */
function narrow(state: State): void {
  while (state.lo < state.hi && idle(state, state.lo)) drop(state, state.lo++);
  while (state.hi > state.lo && idle(state, state.hi)) drop(state, state.hi--);
}

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
  const size = cells + columns.length;
  const n = residual.length;
  const matrix = new Float64Array(size * size);
  const vector = new Float64Array(size);
  const numbers = new Float64Array(4).fill(1, at.airBehind, at.airAhead + 1);
  const memoryOf = (length: number): Float64Array => new Float64Array(length);
  const state: State = {
    basis,
    mixing,
    restart: restart.subarray(0, n),
    numbers,
    behind: memoryOf(cells),
    ahead: memoryOf(cells),
    dosed: memoryOf(cells),
    dosedBefore: memoryOf(cells),
    shown: memoryOf(cells),
    mean: memoryOf(size),
    lo: 0,
    hi: -1,
    row: -1,
  };
  const waiting: Waiting = { lines: new Float64Array(batch * (size + 1)), lo: cells, hi: -1, count: 0 };
  const stretches: Float64Array[] = [];
  let gathered = new Float64Array(size);
  let rows = 0;
  for (let t = 0; t < n; t++) {
    show(state, transport, t);
    if (use[t] === 1) {
      whiten(state, waiting, white, columns, residual, t);
      const whole = ++rows % stretch === 0;
      if (whole || waiting.count === batch) gather(waiting, cells, size, matrix, vector, gathered);
      if (whole) {
        stretches.push(gathered);
        gathered = new Float64Array(size);
      }
    } else fade(state, white.decay);
    if ((t & 7) === 7) narrow(state);
  }
  gather(waiting, cells, size, matrix, vector, gathered);
  mirror(matrix, size);
  if (stretches.length === 0 || rows % stretch !== 0) stretches.push(gathered);
  return { size, matrix, vector, squares: numbers[at.squares]!, rows, stretches };
}

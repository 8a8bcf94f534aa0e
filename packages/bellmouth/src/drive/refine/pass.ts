import { type FieldPlaces, fieldLoads } from "./field.js";
import { type Active, batch, gather, mirror, type Waiting } from "./gather.js";
import type { Whitening } from "./noise.js";
import type { Transport } from "./transport.js";

/**
 * Straight-line basis at every row of the grid: the row's left knot and the two weights, in flow [kg/s], so that their
 * sum is the metered air; and where wanted the four hats of the field. Relative errors of air that is mixed over time mix by flow.
 */
export interface Basis {
  /** Number of knots. */
  readonly size: number;
  readonly cell: Int32Array;
  readonly left: Float64Array;
  readonly right: Float64Array;
  /** Hats over speed and load, whose columns follow those of the knots; null where they are not kept. */
  readonly field: { readonly places: FieldPlaces; readonly count: number } | null;
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
  /** Flow by column in the ECU's filter after the row before the dosing instant and after the row behind it. */
  behind: Float64Array;
  ahead: Float64Array;
  /** Shares by column at the dosing instant, now and one row ago; what the sensor shows; what the noise remembers. */
  dosed: Float64Array;
  dosedBefore: Float64Array;
  readonly shown: Float64Array;
  readonly mean: Float64Array;
  /** Sparse columns that are remembered, and 1 for each of them; the dense ones stand behind in the list when it is gathered. */
  readonly active: Active;
  readonly remembered: Uint8Array;
  /** The row that the filter has come to. */
  row: number;
}

function remember({ active, remembered }: State, k: number): void {
  if (remembered[k] === 1) return;
  remembered[k] = 1;
  active.list[active.count++] = k;
}

function put(state: State, into: Float64Array, k: number, value: number): void {
  remember(state, k);
  into[k] = into[k]! + value;
}

/** Adds row `i` of the basis to `into`. */
function addBasis(state: State, into: Float64Array, i: number, factor: number): void {
  const { cell, left, right, field, size } = state.basis;
  const c = cell[i]!;
  put(state, into, c, factor * left[i]!);
  put(state, into, c + 1, factor * right[i]!);
  if (field === null) return;
  const { node, speedShare, loadShare } = field.places;
  if (node[i]! < 0) return;
  const k = size + node[i]!;
  const air = factor * (left[i]! + right[i]!);
  const a = speedShare[i]!;
  const b = loadShare[i]!;
  put(state, into, k, air * (1 - a) * (1 - b));
  put(state, into, k + 1, air * (1 - a) * b);
  put(state, into, k + fieldLoads.length, air * a * (1 - b));
  put(state, into, k + fieldLoads.length + 1, air * a * b);
}

/** Moves the filter on to row `i`, which comes to lie in `ahead`. */
function advance(state: State, i: number): void {
  const { basis, mixing, numbers, active, behind: ahead, ahead: behind } = state;
  const { left, right } = basis;
  state.behind = behind;
  state.ahead = ahead;
  state.row = i;
  numbers[at.airBehind] = numbers[at.airAhead]!;
  if (state.restart[i] === 1 || i === 0) {
    ahead.fill(0);
    addBasis(state, ahead, i, 1);
    numbers[at.airAhead] = left[i]! + right[i]!;
    return;
  }
  const decay = mixing.decay[i]!;
  const before = mixing.before[i]!;
  const now = mixing.now[i]!;
  for (let a = 0; a < active.count; a++) {
    const k = active.list[a]!;
    ahead[k] = decay * behind[k]!;
  }
  addBasis(state, ahead, i - 1, before);
  addBasis(state, ahead, i, now);
  numbers[at.airAhead] =
    decay * numbers[at.airBehind]! + before * (left[i - 1]! + right[i - 1]!) + now * (left[i]! + right[i]!);
}

/** Forgets everything: the first row, and the first after a gap. */
function forget(state: State, i: number): void {
  const { numbers, shown, active, remembered } = state;
  shown.fill(0);
  state.mean.fill(0);
  state.dosed.fill(0);
  state.dosedBefore.fill(0);
  state.behind.fill(0);
  state.ahead.fill(0);
  numbers[at.residualMean] = 0;
  remembered.fill(0);
  active.count = 0;
  advance(state, i);
}

/** What the sensor shows of each column's share at row `t`. */
function show(state: State, transport: Transport, t: number, fresh: boolean): void {
  const i = transport.row[t]!;
  const f = transport.share[t]!;
  const { restart, numbers, shown, active } = state;
  if (fresh) forget(state, i);
  const next = i + 1 < restart.length ? i + 1 : i;
  while (state.row < next) advance(state, state.row + 1);
  const { dosed: dosedBefore, dosedBefore: dosed, behind, ahead } = state;
  state.dosed = dosed;
  state.dosedBefore = dosedBefore;
  const a = (1 - f) / numbers[at.airBehind]!;
  const b = f / numbers[at.airAhead]!;
  const { decay, before, now } = transport;
  const { list, count } = active;
  if (fresh) {
    for (let q = 0; q < count; q++) {
      const k = list[q]!;
      dosed[k] = a * behind[k]! + b * ahead[k]!;
      shown[k] = dosed[k]!;
    }
    return;
  }
  for (let q = 0; q < count; q++) {
    const k = list[q]!;
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
  const { numbers, shown, mean, active } = state;
  const { lines } = waiting;
  const { list, count } = active;
  const sparse = shown.length;
  const { decay: memory } = white;
  const g = white.gain[t]!;
  const scale = white.inverseSd[t]!;
  const r = waiting.count++;
  for (let q = 0; q < count; q++) {
    const k = list[q]!;
    const surprise = shown[k]! - mean[k]!;
    lines[batch * k + r] = surprise * scale;
    mean[k] = memory * (mean[k]! + g * surprise);
  }
  for (let q = 0; q < columns.length; q++) {
    const k = sparse + q;
    const surprise = columns[q]![t]! - mean[k]!;
    lines[batch * k + r] = surprise * scale;
    mean[k] = memory * (mean[k]! + g * surprise);
  }
  const surprise = residual[t]! - numbers[at.residualMean]!;
  numbers[at.residualMean] = memory * (numbers[at.residualMean]! + g * surprise);
  const y = surprise * scale;
  lines[batch * mean.length + r] = y;
  numbers[at.squares] = numbers[at.squares]! + y * y;
}

/** A row that is left out: what the noise remembers fades. */
function fade({ numbers, shown, mean, active }: State, memory: number): void {
  const { list, count } = active;
  for (let q = 0; q < count; q++) {
    const k = list[q]!;
    mean[k] = memory * mean[k]!;
  }
  for (let k = shown.length; k < mean.length; k++) mean[k] = memory * mean[k]!;
  numbers[at.residualMean] = numbers[at.residualMean]! * memory;
}

const idle = ({ shown, mean, dosed, ahead, numbers }: State, k: number): boolean =>
  Math.abs(shown[k]!) < forgotten &&
  Math.abs(mean[k]!) < forgotten &&
  Math.abs(dosed[k]!) < forgotten &&
  Math.abs(ahead[k]!) < forgotten * numbers[at.airAhead]!;

function drop({ shown, mean, dosed, dosedBefore, ahead, behind, remembered }: State, k: number): void {
  shown[k] = 0;
  mean[k] = 0;
  dosed[k] = 0;
  dosedBefore[k] = 0;
  ahead[k] = 0;
  behind[k] = 0;
  remembered[k] = 0;
}

/** Drops the columns that are no longer remembered. Only where no row waits that holds them. */
function narrow(state: State): void {
  const { active } = state;
  for (let q = active.count - 1; q >= 0; q--) {
    const k = active.list[q]!;
    if (!idle(state, k)) continue;
    drop(state, k);
    active.list[q] = active.list[--active.count]!;
  }
}

/**
 * One pass: mixes the basis as the ECU's filter mixes air, carries it through transport and sensor, whitens it and the dense columns
 * together with the residual, and gathers the normal equations. Only the columns that are still remembered are touched, so
 * the cost a row does not grow with the number of knots.
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
  const sparse = basis.size + (basis.field?.count ?? 0);
  const size = sparse + columns.length;
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
    behind: memoryOf(sparse),
    ahead: memoryOf(sparse),
    dosed: memoryOf(sparse),
    dosedBefore: memoryOf(sparse),
    shown: memoryOf(sparse),
    mean: memoryOf(size),
    active: { list: new Int32Array(size), count: 0 },
    remembered: new Uint8Array(sparse),
    row: -1,
  };
  const waiting: Waiting = { lines: new Float64Array(batch * (size + 1)), count: 0 };
  const stretches: Float64Array[] = [];
  let gathered = new Float64Array(size);
  let rows = 0;
  const flush = (): void => {
    if (waiting.count === 0) return;
    const { list, count } = state.active;
    for (let q = 0; q < columns.length; q++) list[count + q] = sparse + q;
    gather(waiting, { list, count: count + columns.length }, size, matrix, vector, gathered);
  };
  for (let t = 0; t < n; t++) {
    const fresh = restart[t] === 1 || t === 0;
    if (fresh) flush();
    show(state, transport, t, fresh);
    if (use[t] === 1) {
      whiten(state, waiting, white, columns, residual, t);
      const whole = ++rows % stretch === 0;
      if (whole || waiting.count === batch) {
        flush();
        narrow(state);
      }
      if (whole) {
        stretches.push(gathered);
        gathered = new Float64Array(size);
      }
    } else {
      fade(state, white.decay);
      if ((t & 7) === 7 && waiting.count === 0) narrow(state);
    }
  }
  flush();
  mirror(matrix, size);
  if (stretches.length === 0 || rows % stretch !== 0) stretches.push(gathered);
  return { size, matrix, vector, squares: numbers[at.squares]!, rows, stretches };
}

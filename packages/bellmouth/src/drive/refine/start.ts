import { choleskyFactor, choleskySolve } from "./cholesky.js";
import { at, type LawParameter, lawOf } from "./law.js";
import { type Bench, mixingOf } from "./model.js";
import { whitening } from "./noise.js";
import { type Basis, passOver } from "./pass.js";
import { fillingOf, heldBack } from "./transient.js";
import { carried, transportOf } from "./transport.js";

/** Few broad cells for the search: what the table could explain, roughly. */
function coarseBasis(bench: Bench, size: number): Basis {
  const { metered, grid } = bench.timeline;
  const sorted = Float64Array.from(metered).sort();
  const from = Math.log(sorted[Math.floor(0.01 * grid.n)]!);
  const to = Math.log(sorted[Math.floor(0.99 * (grid.n - 1))]!);
  const cell = new Int32Array(grid.n);
  const left = new Float64Array(grid.n);
  const right = new Float64Array(grid.n);
  const last = size - 1;
  for (let t = 0; t < grid.n; t++) {
    const x = Math.min(last, Math.max(0, ((Math.log(metered[t]!) - from) / (to - from + 1e-9)) * last));
    const c = Math.min(last - 1, Math.floor(x));
    cell[t] = c;
    left[t] = (1 - (x - c)) * metered[t]!;
    right[t] = (x - c) * metered[t]!;
  }
  return { size, cell, left, right, field: null };
}

/**
 * Where to start the fit: delay and sensor lag by a coarse search. For each candidate the table's rough shape and the
 * transients are solved for, so that none of them passes for a delay; the best explained wins.
 *
 * @param rows rows looked at, from the drive's start
 */
export function startLaw(bench: Bench, parameters: readonly LawParameter[], rows: number): Float64Array {
  const { timeline, manifold, air } = bench;
  const { target, trim, lambda, gate, restart, grid } = timeline;
  const p = Float64Array.from(parameters, (parameter) => parameter.mean);
  if (parameters[at.film]!.least === parameters[at.film]!.most) return p;
  const n = grid.n;
  const basis = coarseBasis(bench, 6);
  const law = lawOf(p);
  const mixing = mixingOf(bench, law);
  const { believed, effect } = fillingOf(timeline, manifold, { ...law.transient, foreseen: 0 });
  const half = fillingOf(timeline, manifold, { ...law.transient, foreseen: 1 });
  const shapes = [heldBack(timeline, believed, 0.25), heldBack(timeline, believed, 1), effect, half.effect];
  const known = new Float64Array(n);
  for (let t = 0; t < n; t++) known[t] = target[t]! - trim[t]!;
  const middle = parameters[at.gas]!.mean / 0.1;
  /** How badly a candidate explains about so many rows that count; infinite when it cannot be told. */
  const unexplained = ({ fixed, plug, lag }: Candidate, rows: number): number => {
    const end = endOf(gate, rows);
    const upTo = <T extends Float64Array | Uint8Array>(series: T): T => series.subarray(0, end) as T;
    const q = Float64Array.from(p);
    q[at.fixed] = fixed;
    q[at.gas] = plug * middle;
    q[at.lag] = Math.log(lag);
    const transport = transportOf({ ...timeline, grid: { ...grid, n: end } }, air, lawOf(q).transport);
    const use = new Uint8Array(end);
    const residual = carried(upTo(known), transport, restart);
    compareWith(residual, lambda, gate, transport.known, use);
    const motion = new Float64Array(end);
    const white = whitening(
      { memory: 1, slow: 1, fast: 0.5, outliers: 0, doubt: 0 },
      { n: end, step: grid.step, use, restart, weight: motion.map(() => 1), motion, jolt: motion },
    );
    const columns = shapes.map((shape) => carried(upTo(shape), transport, restart));
    const sums = passOver(basis, mixing, transport, white, use, restart, columns, residual);
    const matrix = sums.matrix;
    for (let k = 0; k < sums.size; k++)
      matrix[k * sums.size + k] = matrix[k * sums.size + k]! + 1e-3 * sums.rows + 1e-9;
    const factor = choleskyFactor(matrix, sums.size);
    if (factor === null || sums.rows < 50) return Number.POSITIVE_INFINITY;
    const solved = choleskySolve(factor, sums.size, sums.vector);
    let explained = 0;
    for (let k = 0; k < sums.size; k++) explained += solved[k]! * sums.vector[k]!;
    return (sums.squares - explained) / sums.rows;
  };
  // A look at all of them first; only the likely ones are looked at longer.
  const likely = bestOf(candidates, finalists, (one) => unexplained(one, rows >> 2));
  const [best] = bestOf(likely, 1, (one) => unexplained(one, rows));
  if (best === undefined) return p;
  const start = Float64Array.from(p);
  start[at.fixed] = best.fixed;
  start[at.gas] = best.plug * middle;
  start[at.lag] = Math.log(best.lag);
  return start;
}

interface Candidate {
  readonly fixed: number;
  readonly plug: number;
  readonly lag: number;
}

const candidates: readonly Candidate[] = [0.08, 0.25].flatMap((lag) =>
  [0.02, 0.12, 0.25, 0.4, 0.6, 0.9].flatMap((fixed) => [0.05, 0.2].map((plug) => ({ fixed, plug, lag }))),
);
const finalists = 8;

/** The first `count` of the candidates by what `of` gives, least first; those of which it cannot be told are left out. */
function bestOf(among: readonly Candidate[], count: number, of: (one: Candidate) => number): Candidate[] {
  return among
    .map((one) => ({ one, value: of(one) }))
    .filter(({ value }) => value < Number.POSITIVE_INFINITY)
    .sort((a, b) => a.value - b.value)
    .slice(0, count)
    .map(({ one }) => one);
}

/** Where so many ungated rows are over. */
function endOf(gate: Uint8Array, rows: number): number {
  let counted = 0;
  for (let t = 0; t < gate.length; t++) if (gate[t] === 0 && ++counted >= rows) return t + 1;
  return gate.length;
}

/** Turns what a candidate expects into residuals, and marks the rows that count. */
function compareWith(
  residual: Float64Array,
  lambda: Float64Array,
  gate: Uint8Array,
  known: Uint8Array,
  use: Uint8Array,
): void {
  for (let t = 0; t < residual.length; t++) {
    const off = lambda[t]! - residual[t]!;
    // Spikes are left out here; the fit proper gives them their tails.
    if (gate[t] === 0 && known[t] === 1 && Math.abs(off) < 0.25) {
      use[t] = 1;
      residual[t] = off;
    }
  }
}

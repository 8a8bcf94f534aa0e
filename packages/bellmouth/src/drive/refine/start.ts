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
  return { size, cell, left, right };
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
  const weight = new Float64Array(n).fill(1);
  const motion = new Float64Array(n);
  const middle = parameters[at.gas]!.mean / 0.1;
  let best = Number.POSITIVE_INFINITY;
  const start = Float64Array.from(p);
  const attempt = (fixed: number, plug: number, lag: number): void => {
    const q = Float64Array.from(p);
    q[at.fixed] = fixed;
    q[at.gas] = plug * middle;
    q[at.lag] = Math.log(lag);
    const transport = transportOf(timeline, air, lawOf(q).transport);
    const use = new Uint8Array(n);
    const residual = carried(known, transport, restart);
    let counted = 0;
    let end = 0;
    for (let t = 0; t < n && counted < rows; t++) {
      end = t + 1;
      const off = lambda[t]! - residual[t]!;
      // Spikes are left out here; the fit proper gives them their tails.
      if (gate[t] === 0 && transport.known[t] === 1 && Math.abs(off) < 0.25) {
        use[t] = 1;
        residual[t] = off;
        counted++;
      }
    }
    const white = whitening(
      { memory: 1, slow: 1, fast: 0.5, tails: 100, doubt: 0 },
      { n, step: grid.step, use, restart, weight, motion, jolt: motion },
    );
    const columns = shapes.map((shape) => carried(shape, transport, restart));
    const sums = passOver(basis, mixing, transport, white, use, restart, columns, residual.subarray(0, end));
    const matrix = sums.matrix;
    for (let k = 0; k < sums.size; k++)
      matrix[k * sums.size + k] = matrix[k * sums.size + k]! + 1e-3 * sums.rows + 1e-9;
    const factor = choleskyFactor(matrix, sums.size);
    if (factor === null || sums.rows < 50) return;
    const solved = choleskySolve(factor, sums.size, sums.vector);
    let explained = 0;
    for (let k = 0; k < sums.size; k++) explained += solved[k]! * sums.vector[k]!;
    const left = (sums.squares - explained) / sums.rows;
    if (left < best) {
      best = left;
      start[at.fixed] = fixed;
      start[at.gas] = plug * middle;
      start[at.lag] = Math.log(lag);
    }
  };
  for (const lag of [0.08, 0.25])
    for (const fixed of [0.02, 0.12, 0.25, 0.4, 0.6, 0.9])
      for (const plug of [0.05, 0.2]) attempt(fixed, plug, lag);
  return start;
}

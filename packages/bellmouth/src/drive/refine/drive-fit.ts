import type { TransferCurve } from "../../sensor/index.js";
import { choleskyFactor, choleskyInverse, choleskySolve, marginalise } from "./cholesky.js";
import { gateCode } from "./gate.js";
import { type DriveLaw, type LawParameter, lawOf, vectorOf } from "./law.js";
import { misfitOf, shortestStretch, stretchCount } from "./misfit.js";
import { type Bench, benchOf, lawColumns, mixed, motionOf, type Predicted, predict } from "./model.js";
import {
  counting,
  fitNoise,
  fitTails,
  type NoiseLaw,
  type NoiseRows,
  reweigh,
  whitenedSquares,
  whitening,
} from "./noise.js";
import { type NormalSums, passOver } from "./pass.js";
import { startLaw } from "./start.js";
import type { Timeline } from "./timeline.js";
import { carried } from "./transport.js";

export interface DriveFitOptions {
  readonly parameters: readonly LawParameter[];
  /** Inverse of the prior covariance of the cells' ln errors, row-major. */
  readonly priorInverse: Float64Array;
  /** Most Gauss-Newton steps. */
  readonly iterations: number;
  /** Further columns to be kept in the sums beside the cells, at the time of dosing: ln lambda per unit [1]. */
  readonly kept: readonly Float64Array[];
  /** What earlier drives of the same car told: the fit takes it as its solution, if it explains this drive too. */
  readonly start?: DriveStart;
}

export interface DriveStart {
  readonly law: DriveLaw;
  readonly noise: NoiseLaw;
  /** ln(true/table flow) of each cell [1]. */
  readonly theta: Float64Array;
}

export interface DriveFit {
  readonly law: DriveLaw;
  readonly noise: NoiseLaw;
  /** Covariance of the law's vector, row-major. */
  readonly lawCovariance: Float64Array;
  /** The drive's evidence about cells and kept columns, all else integrated out: -x'Ax/2 + b'x. */
  readonly matrix: Float64Array;
  readonly vector: Float64Array;
  readonly use: Uint8Array;
  readonly gate: Uint8Array;
  readonly predicted: Predicted;
  readonly residual: Float64Array;
  /** Weight of each row from its tails [1], and the cells' ln errors the fit ended at. */
  readonly weight: Float64Array;
  readonly theta: Float64Array;
  /** Number of independent samples of a steady level that the rows amount to [1]. */
  readonly effective: number;
  readonly iterations: number;
  /** How much more the drive's stretches disagree than its noise law says, times what fitting took from the noise [1]; the sums are divided by it. */
  readonly misfit: number;
}

/** What an unknown film after a fuel cut may do to ln lambda [1]; it fades about as fast as the noise forgets. */
const unknownFilm = 0.05;
const settling = gateCode("settling");
/** A drive whose residuals by an earlier drive's law and noise are this many times their variance has a law of its own [1]. */
const strange = 1.25;
/** Within this of one, the earlier drive's noise law is taken as it is [1]: its scale is then right to half of it. */
const alike = 0.05;

function counted(use: Uint8Array): number {
  let sum = 0;
  for (const one of use) sum += one;
  return sum;
}

/** Adds the priors of cells and law to normal equations, in place; `skip` kept columns lie between them. */
function addPriors(
  matrix: Float64Array,
  vector: Float64Array,
  size: number,
  theta: Float64Array,
  p: Float64Array,
  options: DriveFitOptions,
  skip: number,
  cellsToo: boolean,
): void {
  const cells = theta.length;
  if (cellsToo) {
    for (let r = 0; r < cells; r++)
      for (let c = 0; c < cells; c++) {
        const w = options.priorInverse[r * cells + c]!;
        matrix[r * size + c] = matrix[r * size + c]! + w;
        vector[r] = vector[r]! - w * theta[c]!;
      }
  }
  options.parameters.forEach((parameter, k) => {
    const w = 1 / parameter.sd ** 2;
    const i = cells + skip + k;
    matrix[i * size + i] = matrix[i * size + i]! + w;
    vector[i] = vector[i]! - w * (p[k]! - parameter.mean);
  });
}

function penalty(p: Float64Array, theta: Float64Array, options: DriveFitOptions): number {
  const cells = theta.length;
  let sum = 0;
  for (let r = 0; r < cells; r++) {
    let row = 0;
    for (let c = 0; c < cells; c++) row += options.priorInverse[r * cells + c]! * theta[c]!;
    sum += row * theta[r]!;
  }
  options.parameters.forEach((parameter, k) => {
    sum += ((p[k]! - parameter.mean) / parameter.sd) ** 2;
  });
  return sum;
}

/**
 * Number of parameters that the drive told: those fitted, less what the priors held. The trace of A (A + P)^-1.
 *
 * @param inverse of A + P, row-major
 * @source T. Hastie, R. Tibshirani, Generalized Additive Models (1990), section 3.5: degrees of freedom of a smoother.
 */
function fittedOf(inverse: Float64Array, size: number, keep: number, options: DriveFitOptions): number {
  const cells = Math.round(Math.sqrt(options.priorInverse.length));
  let held = 0;
  for (let r = 0; r < cells; r++)
    for (let c = 0; c < cells; c++) held += inverse[r * size + c]! * options.priorInverse[c * cells + r]!;
  options.parameters.forEach((parameter, k) => {
    held += inverse[(keep + k) * size + keep + k]! / parameter.sd ** 2;
  });
  return cells + options.parameters.length - held;
}

/**
 * How much too small the slow noise looks after a fit [1]: what was fitted follows some of it. A drive holds so many independent values of it, and
 * every fitted parameter takes one away, as in a standard deviation of few values.
 */
const takenByFit = (fitted: number, independent: number): number =>
  1 / (1 - Math.min(0.5, Math.max(0, fitted / independent)));

/**
 * Fits a drive: table, transport and transients together by damped Gauss-Newton steps; between steps the noise law, its
 * tails and the doubt in the transients are estimated from what is left.
 *
 * @returns null when the equations cannot be solved
 */
export function fitDrive(
  curve: TransferCurve,
  timeline: Timeline,
  options: DriveFitOptions,
): DriveFit | null {
  const { parameters } = options;
  let bench = benchOf(curve, timeline, options.start?.theta ?? new Float64Array(curve.cells.length));
  const { basis } = bench;
  const { restart, lambda, offset, grid, gate: gated } = timeline;
  const n = grid.n;
  const cells = basis.size;
  const { start } = options;
  const p = start === undefined ? startLaw(bench, parameters, 8000) : vectorOf(start.law, parameters);
  const theta = start === undefined ? new Float64Array(cells) : Float64Array.from(start.theta);
  const use = new Uint8Array(n);
  const residual = new Float64Array(n);
  const rows: { -readonly [key in keyof NoiseRows]: NoiseRows[key] } = {
    n,
    step: grid.step,
    use,
    restart,
    weight: new Float64Array(n).fill(1),
    motion: new Float64Array(n),
    jolt: new Float64Array(n),
  };
  let noise: NoiseLaw = start?.noise ?? { memory: 0.5, slow: 1e-4, fast: 1e-4, tails: 5, doubt: 0.2 };

  const compare = ({ shown }: Predicted): void => {
    for (let t = 0; t < n; t++) {
      if (use[t] === 0) {
        residual[t] = 0;
        continue;
      }
      // Samples fall between the grid's instants: the prediction is taken along its slope to where the sample was.
      const slope = t > 0 && t + 1 < n ? (shown[t + 1]! - shown[t - 1]!) / (2 * grid.step) : 0;
      residual[t] = lambda[t]! - shown[t]! - offset[t]! * slope;
    }
  };
  const chooseRows = (known: Uint8Array): void => {
    let pending = false;
    for (let t = 0; t < n; t++) {
      use[t] = gated[t] === 0 && known[t] === 1 && !Number.isNaN(lambda[t]!) ? 1 : 0;
      rows.jolt[t] = 0;
      if (known[t] === 0) pending = true;
      else if (use[t] === 1 && pending) {
        rows.jolt[t] = unknownFilm ** 2;
        pending = false;
      }
    }
  };
  /** What the present law and table make of the drive: rows that count, what is left of them, and what moved. */
  const takeStock = (): Predicted => {
    const now = predict(bench, lawOf(p), theta);
    chooseRows(now.transport.known);
    compare(now);
    rows.motion = motionOf(bench, now);
    return now;
  };
  let steps = start === undefined ? 0 : 3;
  const fitNoiseNow = (rounds: number): void => {
    for (let k = 0; k < rounds; k++) {
      noise = fitNoise(residual, rows, noise, 0, { to: Math.min(n, 60_000), near: steps++ > 2 });
      reweigh(residual, rows, noise);
      noise = fitTails(rows, noise);
    }
  };

  let noiseKnown = false;
  let damping = 0.3;
  let settled = 0;
  let iteration = 0;
  let predicted = takeStock();
  if (start !== undefined) {
    reweigh(residual, rows, noise);
    const variance = whitenedSquares(residual, whitening(noise, rows), use, restart) / counted(use);
    if (!(variance < strange)) {
      const { start: _, ...cold } = options;
      return fitDrive(curve, timeline, cold);
    }
    noiseKnown = Math.abs(variance - 1) < alike;
    // The last pass alone is enough then: it takes the step left while it integrates the law out.
    settled = 2;
  }
  for (; iteration < options.iterations && settled < 2; iteration++) {
    if (iteration > 0) {
      if (bench.manifold.pressure !== null) bench = benchOf(curve, timeline, theta);
      predicted = takeStock();
    }
    fitNoiseNow(iteration === 0 ? 3 : 1);
    const white = whitening(noise, rows);
    const columns = lawColumns(bench, predicted, parameters, p);
    const sums = passOver(
      basis,
      predicted.mixing,
      predicted.transport,
      white,
      use,
      restart,
      columns,
      residual,
    );
    const { size } = sums;
    addPriors(sums.matrix, sums.vector, size, theta, p, options, 0, true);
    const cost = sums.squares + penalty(p, theta, options);
    let better = false;
    for (let trial = 0; trial < 6 && !better; trial++) {
      const damped = Float64Array.from(sums.matrix);
      // Only the law is damped: the table's part is linear.
      for (let k = cells; k < size; k++) damped[k * size + k] = damped[k * size + k]! * (1 + damping);
      const factor = choleskyFactor(damped, size);
      if (factor === null) return null;
      const move = choleskySolve(factor, size, sums.vector);
      const x = Float64Array.from(theta, (value, c) => value + move[c]!);
      const q = Float64Array.from(p, (value, k) => {
        const parameter = parameters[k]!;
        return Math.max(parameter.least, Math.min(parameter.most, value + move[cells + k]!));
      });
      compare(predict(bench, lawOf(q), x));
      const next = whitenedSquares(residual, white, use, restart) + penalty(q, x, options);
      if (next < cost) {
        p.set(q);
        theta.set(x);
        better = true;
        damping = Math.max(1e-4, damping / 6);
        settled = cost - next < 0.3 ? settled + 1 : 0;
      } else damping = Math.max(0.1, damping * 5);
    }
    if (!better) settled++;
  }

  // The last pass keeps the suspects' columns beside the cells and integrates the law out.
  if (start === undefined) predicted = takeStock();
  if (!noiseKnown) fitNoiseNow(start === undefined ? 2 : 1);
  const white = whitening(counting(noise), rows);
  const kept = options.kept.map((column) =>
    carried(mixed(bench, predicted.mixing, column), predicted.transport, restart),
  );
  const used = counted(use);
  const stretch = Math.max(Math.ceil(used / stretchCount), Math.ceil(shortestStretch / grid.step));
  const sums: NormalSums = passOver(
    basis,
    predicted.mixing,
    predicted.transport,
    white,
    use,
    restart,
    [...kept, ...lawColumns(bench, predicted, parameters, p)],
    residual,
    stretch,
  );
  const { size } = sums;
  const matrix = Float64Array.from(sums.matrix);
  const vector = Float64Array.from(sums.vector);
  addPriors(matrix, vector, size, theta, p, options, kept.length, false);
  const keep = cells + kept.length;
  const reduced = marginalise(matrix, [vector], size, keep);
  if (reduced === null) return null;
  const b = reduced.vectors[0]!;
  const misfit = misfitOf(
    sums,
    Float64Array.from(parameters, (parameter) => 1 / parameter.sd ** 2),
    keep,
    options.priorInverse,
  );
  addPriors(sums.matrix, sums.vector, size, theta, p, options, kept.length, true);
  // Suspects are absent, not unknown, when the law's own spread is told.
  for (let k = cells; k < keep; k++) sums.matrix[k * size + k] = sums.matrix[k * size + k]! * 1e6 + 1e6;
  const factor = choleskyFactor(sums.matrix, size);
  const count = parameters.length;
  const lawCovariance = new Float64Array(count * count);
  const inverse = factor === null ? null : choleskyInverse(factor, size);
  if (inverse !== null) {
    for (let r = 0; r < count; r++)
      for (let c = 0; c < count; c++) lawCovariance[r * count + c] = inverse[(keep + r) * size + keep + c]!;
  }
  const fitted = inverse === null ? 0 : fittedOf(inverse, size, keep, options);
  const caution = misfit * takenByFit(fitted, (used * grid.step) / (2 * noise.memory));
  for (const values of [reduced.matrix, b])
    for (let k = 0; k < values.length; k++) values[k] = values[k]! / caution;
  for (let r = 0; r < keep; r++)
    for (let c = 0; c < cells; c++) b[r] = b[r]! + reduced.matrix[r * keep + c]! * theta[c]!;

  const ones = new Float64Array(n).fill(1);
  const gate = Uint8Array.from(gated);
  for (let t = 0; t < n; t++) if (gate[t] === 0 && use[t] === 0) gate[t] = settling;
  return {
    law: lawOf(p),
    noise,
    lawCovariance,
    matrix: reduced.matrix,
    vector: b,
    use,
    gate,
    predicted,
    residual: Float64Array.from(residual),
    weight: rows.weight,
    theta,
    effective: whitenedSquares(ones, white, use, restart) * (noise.slow + noise.fast),
    iterations: iteration,
    misfit: caution,
  };
}

export type { Bench };

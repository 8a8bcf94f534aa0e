import { choleskyFactor, choleskyInverse, choleskySolve, marginalise } from "./cholesky.js";
import { nodeCount } from "./field.js";
import { gateCode } from "./gate.js";
import { type DriveLaw, type LawParameter, lawOf, vectorOf } from "./law.js";
import { misfitOf, shortestStretch, stretchCount } from "./misfit.js";
import {
  type Bench,
  benchOf,
  lawColumns,
  layOn,
  meterNoise,
  mixed,
  motionOf,
  type Predicted,
  predict,
} from "./model.js";
import { fitNoise, type NoiseLaw, type NoiseRows, reweigh, whitenedSquares, whitening } from "./noise.js";
import { type NormalSums, passOver } from "./pass.js";
import { offsetHats } from "./record-form.js";
import { type Reference, readAt } from "./reference.js";
import { startLaw } from "./start.js";
import type { Timeline } from "./timeline.js";
import { carried } from "./transport.js";

export interface DriveFitOptions {
  readonly parameters: readonly LawParameter[];
  /** Inverse of the prior covariance of ln(true/reference flow) at given knots, row-major. */
  readonly priorInverse: (knots: Float64Array) => Float64Array;
  /** Most Gauss-Newton steps. */
  readonly iterations: number;
  /** Further columns to be kept in the sums beside the knots, at the time of dosing: ln lambda per unit [1]. */
  readonly kept: readonly Float64Array[];
  /** True where a field over speed and load is kept in the evidence: lambda tells one, trims alone show their own behaviour instead. */
  readonly field: boolean;
  /** Where the iteration begins: what earlier drives of the same car told. */
  readonly start?: DriveStart;
  /** True where the drive is a later piece of the log that `start` is from: one step from there is enough. */
  readonly piece?: boolean;
}

export interface DriveStart {
  readonly law: DriveLaw;
  readonly noise: NoiseLaw;
  /** ln(true/reference flow) at the reference's knots [1]. */
  readonly theta: Float64Array;
}

export interface DriveFit {
  readonly law: DriveLaw;
  readonly noise: NoiseLaw;
  /** Covariance of the law's vector, row-major. */
  readonly lawCovariance: Float64Array;
  /**
   * The drive's evidence, all else integrated out: -x'Ax/2 + b'x over the knots, the field's nodes (none where the drive does not log
   * them), the offset's hats and the kept columns, in this order.
   */
  readonly matrix: Float64Array;
  readonly vector: Float64Array;
  readonly nodes: number;
  readonly use: Uint8Array;
  readonly gate: Uint8Array;
  readonly predicted: Predicted;
  readonly residual: Float64Array;
  /** Weight of each row, its probability to be no outlier [1]. */
  readonly weight: Float64Array;
  /** Place of each row among the knots, and what the fit ended at there: ln(true/metered air) [1]. */
  readonly knot: Int32Array;
  readonly knotShare: (t: number) => number;
  readonly error: (t: number) => number;
  /** Number of independent samples of a steady level that the rows amount to [1]. */
  readonly effective: number;
  readonly iterations: number;
  /** How much more the drive's stretches disagree than its noise law says [1]. */
  readonly misfit: number;
  /** What fitting took from the noise [1]; the sums are divided by it. */
  readonly taken: number;
}

/** Knots while the fit iterates: law and noise do not need all of them. */
const coarseKnots = 40;
/** What an unknown film after a fuel cut may do to ln lambda [1]; it fades about as fast as the noise forgets. */
const unknownFilm = 0.05;
const settling = gateCode("settling");
/** A piece whose residuals by the law of the one before are this many times their variance has a law of its own [1]. */
const strange = 1.25;
/** Within this of one, the earlier noise law is taken as it is [1]: its scale is then right to half of it. */
const alike = 0.05;

function counted(use: Uint8Array): number {
  let sum = 0;
  for (const one of use) sum += one;
  return sum;
}

/** Prior information about what is fitted: the knots' inverse covariance, and the law's parameters. */
interface Priors {
  readonly knots: Float64Array;
  readonly parameters: readonly LawParameter[];
}

/** Adds the priors of knots and law to normal equations over (knots, law), in place. */
function addPriors(
  matrix: Float64Array,
  vector: Float64Array,
  theta: Float64Array,
  p: Float64Array,
  { knots, parameters }: Priors,
): void {
  const cells = theta.length;
  const size = vector.length;
  for (let r = 0; r < cells; r++)
    for (let c = 0; c < cells; c++) {
      const w = knots[r * cells + c]!;
      matrix[r * size + c] = matrix[r * size + c]! + w;
      vector[r] = vector[r]! - w * theta[c]!;
    }
  parameters.forEach((parameter, k) => {
    const w = 1 / parameter.sd ** 2;
    const i = cells + k;
    matrix[i * size + i] = matrix[i * size + i]! + w;
    vector[i] = vector[i]! - w * (p[k]! - parameter.mean);
  });
}

function penalty(p: Float64Array, theta: Float64Array, { knots, parameters }: Priors): number {
  const cells = theta.length;
  let sum = 0;
  for (let r = 0; r < cells; r++) {
    let row = 0;
    for (let c = 0; c < cells; c++) row += knots[r * cells + c]! * theta[c]!;
    sum += row * theta[r]!;
  }
  parameters.forEach((parameter, k) => {
    sum += ((p[k]! - parameter.mean) / parameter.sd) ** 2;
  });
  return sum;
}

/**
 * Number of parameters that the drive told: those fitted, less what the priors held. The trace of A (A + P)^-1.
 *
 * @param inverse of A + P over (knots, nuisance), row-major
 * @param nuisance prior information of the parameters after the knots, the diagonal
 * @source T. Hastie, R. Tibshirani, Generalized Additive Models (1990), section 3.5: degrees of freedom of a smoother.
 */
function fittedOf(inverse: Float64Array, knots: Float64Array, nuisance: Float64Array): number {
  const cells = Math.round(Math.sqrt(knots.length));
  const size = cells + nuisance.length;
  let held = 0;
  for (let r = 0; r < cells; r++)
    for (let c = 0; c < cells; c++) held += inverse[r * size + c]! * knots[c * cells + r]!;
  nuisance.forEach((w, k) => {
    held += inverse[(cells + k) * size + cells + k]! * w;
  });
  return size - held;
}

/**
 * How much too small the slow noise looks after a fit [1]: what was fitted follows some of it. A drive holds so many independent values of it, and
 * every fitted parameter takes one away, as in a standard deviation of few values.
 */
const takenByFit = (fitted: number, independent: number): number =>
  1 / (1 - Math.min(0.5, Math.max(0, fitted / independent)));

/** Hats in ln flow, as the sensor reads them: they add to 1. */
function offsetColumns(bench: Bench, transport: Predicted["transport"]): Float64Array[] {
  const { timeline, basis, knots } = bench;
  const n = timeline.grid.n;
  const whole = knots.length - 1;
  const columns = Array.from({ length: offsetHats }, () => new Float64Array(n));
  for (let t = 0; t < n; t++) {
    const { cell, left, right } = basis;
    const at = (cell[t]! + right[t]! / (left[t]! + right[t]!)) / whole;
    const along = at * (offsetHats - 1);
    const h = Math.min(offsetHats - 2, Math.floor(along));
    columns[h]![t] = 1 - (along - h);
    columns[h + 1]![t] = along - h;
  }
  return columns.map((column) => carried(column, transport, timeline.restart));
}

/** A drive while it is fitted: the law, the curve, the noise and the rows that count just now. */
class Fitting {
  bench: Bench;
  readonly p: Float64Array;
  readonly theta: Float64Array;
  readonly use: Uint8Array;
  readonly residual: Float64Array;
  readonly rows: { -readonly [key in keyof NoiseRows]: NoiseRows[key] };
  noise: NoiseLaw;
  predicted: Predicted;
  private steps: number;

  constructor(
    readonly laid: ReturnType<typeof layOn>,
    parameters: readonly LawParameter[],
    start: DriveStart | undefined,
    reference: Reference,
  ) {
    const { grid, restart } = laid.timeline;
    const { n } = grid;
    this.theta =
      start === undefined
        ? new Float64Array(laid.knots.length)
        : Float64Array.from(laid.knots, (x) => readAt(start.theta, reference.x, x));
    this.bench = benchOf(laid, this.theta);
    this.p = start === undefined ? startLaw(this.bench, parameters, 8000) : vectorOf(start.law, parameters);
    this.noise = start?.noise ?? { memory: 0.5, slow: 1e-4, fast: 1e-4, outliers: 0.01, doubt: 0.2 };
    this.use = new Uint8Array(n);
    this.residual = new Float64Array(n);
    this.rows = {
      n,
      step: grid.step,
      use: this.use,
      restart,
      weight: new Float64Array(n).fill(1),
      motion: new Float64Array(n),
      jolt: new Float64Array(n),
    };
    this.steps = start === undefined ? 0 : 3;
    this.predicted = this.takeStock();
  }

  compare({ shown }: Predicted): void {
    const { use, residual } = this;
    const { lambda, offset, grid } = this.bench.timeline;
    for (let t = 0; t < grid.n; t++) {
      if (use[t] === 0) {
        residual[t] = 0;
        continue;
      }
      // Samples fall between the grid's instants: the prediction is taken along its slope to where the sample was.
      const slope = t > 0 && t + 1 < grid.n ? (shown[t + 1]! - shown[t - 1]!) / (2 * grid.step) : 0;
      residual[t] = lambda[t]! - shown[t]! - offset[t]! * slope;
    }
  }

  private chooseRows(known: Uint8Array): void {
    const { use, rows } = this;
    const { lambda, gate, grid } = this.bench.timeline;
    let pending = false;
    for (let t = 0; t < grid.n; t++) {
      use[t] = gate[t] === 0 && known[t] === 1 && !Number.isNaN(lambda[t]!) ? 1 : 0;
      rows.jolt[t] = 0;
      if (known[t] === 0) pending = true;
      else if (use[t] === 1 && pending) {
        rows.jolt[t] = unknownFilm ** 2;
        pending = false;
      }
    }
  }

  /** What the present law and curve make of the drive: rows that count, what is left of them, and what moved. */
  takeStock(): Predicted {
    const now = predict(this.bench, lawOf(this.p), this.theta);
    this.chooseRows(now.transport.known);
    this.compare(now);
    this.rows.motion = motionOf(this.bench, now);
    this.predicted = now;
    return now;
  }

  fitNoiseNow(rounds: number): void {
    for (let k = 0; k < rounds; k++) {
      const to = Math.min(this.rows.n, 60_000);
      this.noise = fitNoise(this.residual, this.rows, this.noise, 0, { to, near: this.steps++ > 2 });
      this.noise = reweigh(this.residual, this.rows, this.noise);
    }
  }

  /** Mean square of the whitened residuals by the present noise [1]: 1 where it explains the drive. */
  surprise(): number {
    this.noise = reweigh(this.residual, this.rows, this.noise);
    const white = whitening(this.noise, this.rows);
    return whitenedSquares(this.residual, white, this.use, this.rows.restart) / counted(this.use);
  }

  /** Gauss-Newton steps, damped, until two in a row no longer help. False where the equations cannot be solved. */
  iterate(priors: Priors, most: number): number | null {
    const { p, theta, use, residual, rows } = this;
    const { parameters } = priors;
    const cells = theta.length;
    let damping = 0.3;
    let settled = 0;
    let iteration = 0;
    for (; iteration < most && settled < 2; iteration++) {
      if (iteration > 0) {
        if (this.bench.manifold.pressure !== null) this.bench = benchOf(this.laid, theta);
        this.takeStock();
      }
      this.fitNoiseNow(iteration === 0 ? 3 : 1);
      const white = whitening(this.noise, rows);
      const { bench, predicted } = this;
      const columns = lawColumns(bench, predicted, parameters, p);
      const sums = passOver(
        bench.basis,
        predicted.mixing,
        predicted.transport,
        white,
        use,
        rows.restart,
        columns,
        residual,
      );
      const { size } = sums;
      addPriors(sums.matrix, sums.vector, theta, p, priors);
      const cost = sums.squares + penalty(p, theta, priors);
      let better = false;
      for (let trial = 0; trial < 6 && !better; trial++) {
        const damped = Float64Array.from(sums.matrix);
        // Only the law is damped: the curve's part is linear.
        for (let k = cells; k < size; k++) damped[k * size + k] = damped[k * size + k]! * (1 + damping);
        const factor = choleskyFactor(damped, size);
        if (factor === null) return null;
        const move = choleskySolve(factor, size, sums.vector);
        const x = Float64Array.from(theta, (value, c) => value + move[c]!);
        const q = Float64Array.from(p, (value, k) => {
          const parameter = parameters[k]!;
          return Math.max(parameter.least, Math.min(parameter.most, value + move[cells + k]!));
        });
        this.compare(predict(bench, lawOf(q), x));
        const next = whitenedSquares(residual, white, use, rows.restart) + penalty(q, x, priors);
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
    return iteration;
  }
}

/** Columns and rows of a square matrix picked out, in the order given. */
function picked(matrix: Float64Array, size: number, order: readonly number[]): Float64Array {
  const m = order.length;
  const out = new Float64Array(m * m);
  for (let r = 0; r < m; r++)
    for (let c = 0; c < m; c++) out[r * m + c] = matrix[order[r]! * size + order[c]!]!;
  return out;
}

const upTo = (count: number, from = 0): number[] => Array.from({ length: count }, (_, k) => from + k);

/**
 * Fits a drive: curve, transport and transients together by damped Gauss-Newton steps; between steps the noise law, its
 * outliers and the doubt in the transients are estimated from what is left. The last pass stands on the reference's knots and keeps the
 * field, the drive's own offset and the possible causes beside them.
 *
 * @returns null when the equations cannot be solved
 */
export function fitDrive(
  reference: Reference,
  timeline: Timeline,
  options: DriveFitOptions,
): DriveFit | null {
  const { parameters, start } = options;
  const from = reference.x[0]!;
  const to = reference.x.at(-1)!;
  const coarse = Float64Array.from(
    { length: coarseKnots },
    (_, k) => from + ((to - from) * k) / (coarseKnots - 1),
  );
  const fitting = new Fitting(layOn(reference, coarse, timeline), parameters, start, reference);
  let noiseKnown = false;
  let most = options.iterations;
  if (start !== undefined && options.piece === true) {
    const variance = fitting.surprise();
    if (!(variance < strange)) {
      const { start: _, piece: __, ...cold } = options;
      return fitDrive(reference, timeline, cold);
    }
    noiseKnown = Math.abs(variance - 1) < alike;
    // The last pass alone is enough then: it takes the step left while it integrates the law out.
    most = 0;
  }
  const iterations = fitting.iterate({ knots: options.priorInverse(coarse), parameters }, most);
  if (iterations === null) return null;
  if (most > 0) {
    fitting.bench = benchOf(fitting.laid, fitting.theta);
    fitting.takeStock();
  }
  if (!noiseKnown) fitting.fitNoiseNow(most > 0 ? 2 : 1);
  return lastPass(reference, fitting, options, iterations);
}

/** The drive's evidence at the reference's knots, the law integrated out. */
function lastPass(
  reference: Reference,
  fitting: Fitting,
  options: DriveFitOptions,
  iterations: number,
): DriveFit | null {
  const { parameters } = options;
  const { p, use, residual, rows, noise, predicted, bench: coarse } = fitting;
  const { timeline } = coarse;
  const { grid, restart } = timeline;
  const { x: knots } = reference;
  const whole = layOn(reference, knots, timeline);
  const laid: typeof whole = options.field ? whole : { ...whole, field: null };
  const bench: Bench = { ...coarse, ...laid };
  const theta = Float64Array.from(knots, (x) => readAt(fitting.theta, coarse.knots, x));
  const cells = knots.length;
  const nodes = laid.field === null ? 0 : nodeCount;
  const { mixing, transport } = predicted;
  const seen = (column: Float64Array): Float64Array =>
    carried(mixed(bench, mixing, column), transport, restart);
  const meter = meterNoise(laid);
  const kept = [...offsetColumns(bench, transport), ...options.kept.map(seen)];
  const nuisance = [
    ...(meter === null ? [] : [seen(meter)]),
    ...lawColumns(coarse, predicted, parameters, p),
  ];
  const white = whitening(noise, rows);
  const used = counted(use);
  const sums: NormalSums = passOver(
    { ...laid.basis, field: laid.field === null ? null : { places: laid.field, count: nodes } },
    mixing,
    transport,
    white,
    use,
    restart,
    [...kept, ...nuisance],
    residual,
    Math.max(Math.ceil(used / stretchCount), Math.ceil(shortestStretch / grid.step)),
  );
  const { size } = sums;
  const keep = size - nuisance.length;
  const law = keep + nuisance.length - parameters.length;
  // The meter's noise has a coefficient of about 1; its column is there where the field is.
  const known = Float64Array.from(nuisance, (_, k) =>
    k + keep < law ? 1 : 1 / parameters[k + keep - law]!.sd ** 2,
  );
  const matrix = Float64Array.from(sums.matrix);
  const vector = Float64Array.from(sums.vector);
  known.forEach((w, k) => {
    const i = keep + k;
    matrix[i * size + i] = matrix[i * size + i]! + w;
    if (i >= law) vector[i] = vector[i]! - w * (p[i - law]! - parameters[i - law]!.mean);
  });
  const reduced = marginalise(matrix, [vector], size, keep);
  if (reduced === null) return null;
  const b = reduced.vectors[0]!;
  const prior = options.priorInverse(knots);
  const misfit = misfitOf(sums, known, keep, prior);
  // What is kept is absent, not unknown, when the law's own spread is told.
  const order = [...upTo(cells), ...upTo(nuisance.length, keep)];
  const about = picked(matrix, size, order);
  const m = order.length;
  for (let r = 0; r < cells; r++)
    for (let c = 0; c < cells; c++) about[r * m + c] = about[r * m + c]! + prior[r * cells + c]!;
  const factor = choleskyFactor(about, m);
  const count = parameters.length;
  const lawCovariance = new Float64Array(count * count);
  const inverse = factor === null ? null : choleskyInverse(factor, m);
  if (inverse !== null)
    for (let r = 0; r < count; r++)
      for (let c = 0; c < count; c++)
        lawCovariance[r * count + c] = inverse[(m - count + r) * m + m - count + c]!;
  const fitted = inverse === null ? 0 : fittedOf(inverse, prior, known);
  const taken = takenByFit(fitted, (used * grid.step) / (2 * noise.memory));
  for (const values of [reduced.matrix, b])
    for (let k = 0; k < values.length; k++) values[k] = values[k]! / taken;
  for (let r = 0; r < keep; r++)
    for (let c = 0; c < cells; c++) b[r] = b[r]! + reduced.matrix[r * keep + c]! * theta[c]!;
  const ones = new Float64Array(grid.n).fill(1);
  const gate = Uint8Array.from(timeline.gate);
  for (let t = 0; t < grid.n; t++) if (gate[t] === 0 && use[t] === 0) gate[t] = settling;
  const { cell, left, right } = laid.basis;
  const knotShare = (t: number): number => right[t]! / (left[t]! + right[t]!);
  return {
    law: lawOf(p),
    noise,
    lawCovariance,
    matrix: reduced.matrix,
    vector: b,
    nodes,
    use,
    gate,
    predicted,
    residual: Float64Array.from(residual),
    weight: rows.weight,
    knot: cell,
    knotShare,
    error: (t) => (1 - knotShare(t)) * theta[cell[t]!]! + knotShare(t) * theta[cell[t]! + 1]!,
    effective: whitenedSquares(ones, white, use, restart) * (noise.slow + noise.fast),
    iterations,
    misfit,
    taken,
  };
}

import { BellmouthError } from "../../fault/index.js";
import { normalCdf, type Rows, studentTCdf } from "../../fit/index.js";
import { quantile } from "../interval.js";

/** A covariance that runs may have in common, in the variance of one run, with its prior probability. */
export interface CovarianceCandidate {
  readonly weight: number;
  /** n by n, relative to the variance of one run [1] */
  readonly relative: Rows;
  /**
   * Degrees of freedom that its shapes take from the scatter [1]: where a large drift is allowed for and there is none, the
   * runs' scatter along it says nothing.
   */
  readonly taken: number;
}

export interface RunModel {
  readonly values: readonly number[];
  /** n by p */
  readonly design: Rows;
  readonly candidates: readonly CovarianceCandidate[];
  /** Covariance that does not scale with the runs' own scatter, given that scatter's standard deviation. */
  readonly absolute?: (sd: number) => Rows;
  /** Standard deviation of a run known beforehand, with its degrees of freedom; null: known exactly. */
  readonly known?: { readonly sd: number; readonly degreesOfFreedom: number | null };
}

/** One term of a mixture: Student's t about a mean, or a normal where degreesOfFreedom is null. */
export interface MixtureTerm {
  readonly weight: number;
  readonly means: readonly number[];
  readonly scales: readonly number[];
  readonly degreesOfFreedom: number | null;
  /** standard deviation of a run under this term */
  readonly sd: number;
}

/** Steps of the standard deviation of a run, in its logarithm: fine against the width of its distribution. */
const STEP = 0.3;

/**
 * Distribution of the coefficients of runs whose covariance is known up to candidates and one standard deviation.
 *
 * Coefficients have flat priors and the standard deviation 1/sd, so one candidate alone gives the t interval of
 * generalised least squares. Candidates are weighed by their marginal likelihood. Where a part of the covariance is
 * absolute, the standard deviation is integrated over numerically.
 *
 * @returns terms whose weights sum to one; none when nothing judges the scatter
 * @throws `E_SINGULAR` when the design cannot be told apart
 * @source G. E. P. Box, G. C. Tiao, Bayesian Inference in Statistical Analysis (1973), chapters 2 and 7
 */
export function mixtureOfRuns(model: RunModel): MixtureTerm[] {
  const n = model.values.length;
  const columns = model.design[0]?.length ?? 0;
  const known = model.known;
  const freedom = n - columns + (known?.degreesOfFreedom ?? 0);
  const exact = known !== undefined && known.degreesOfFreedom === null;
  if (!exact && freedom < 1) return [];
  const plain = model.candidates.map((one) => solve(model, one.relative));
  const terms: (Omit<MixtureTerm, "weight"> & { readonly log: number })[] = [];
  if (model.absolute === undefined && !exact) {
    plain.forEach((fit, c) => {
      const { weight, taken } = model.candidates[c] as CovarianceCandidate;
      const squares = fit.squares + (known?.degreesOfFreedom ?? 0) * (known?.sd ?? 0) ** 2;
      const sd = Math.sqrt(squares / (freedom - taken));
      terms.push({
        log: Math.log(weight) + fit.log - (freedom / 2) * Math.log(squares),
        means: fit.means,
        scales: fit.scales.map((scale) => sd * scale),
        degreesOfFreedom: freedom - taken,
        sd,
      });
    });
  } else {
    const grid = spreads(model, plain, freedom).map(({ sd, log }) => ({
      sd,
      log,
      absolute: model.absolute?.(sd),
    }));
    for (const { weight, relative, taken } of model.candidates) {
      const fits = grid.map(({ sd, log, absolute }) => {
        const fit = solve(model, relative, sd * sd, absolute);
        return { fit, sd, log: Math.log(weight) + fit.log - fit.squares / 2 + log };
      });
      const mass = logSum(fits.map((one) => one.log));
      const within = fits.map((one) => one.log + taken * Math.log(one.sd));
      const all = logSum(within);
      fits.forEach(({ fit, sd }, i) => {
        terms.push({
          log: mass + (within[i] as number) - all,
          means: fit.means,
          scales: fit.scales,
          degreesOfFreedom: null,
          sd,
        });
      });
    }
  }
  const whole = logSum(terms.map((term) => term.log));
  const kept = terms
    .map(({ log, ...term }) => ({ ...term, weight: Math.exp(log - whole) }))
    .filter((term) => term.weight > 1e-6);
  const total = kept.reduce((sum, term) => sum + term.weight, 0);
  return kept.map((term) => ({ ...term, weight: term.weight / total }));
}

const logSum = (logs: readonly number[]): number => {
  const most = logs.reduce((a, b) => Math.max(a, b), Number.NEGATIVE_INFINITY);
  return most + Math.log(logs.reduce((sum, log) => sum + Math.exp(log - most), 0));
};

/** Standard deviations to integrate over, with the logarithm of prior times step. */
function spreads(
  model: RunModel,
  plain: readonly Solution[],
  freedom: number,
): { readonly sd: number; readonly log: number }[] {
  const { known } = model;
  if (known !== undefined && known.degreesOfFreedom === null) return [{ sd: known.sd, log: 0 }];
  const still = model.absolute?.(0) ?? [];
  // Typical absolute error of one run: below it, the scatter of the runs says little of their standard deviation.
  const floor = Math.sqrt(
    still.reduce((sum, row, r) => sum + (row[r] as number), 0) / Math.max(1, still.length),
  );
  const seen = plain.map((fit) => Math.sqrt(fit.squares / Math.max(1, freedom))).filter((sd) => sd > 0);
  const own = known === undefined ? seen : [...seen, known.sd];
  const least = own.reduce((smallest, sd) => Math.min(smallest, sd), Number.POSITIVE_INFINITY);
  const low = Math.log(Math.max(Number.isFinite(least) ? least : 0, floor) / 60);
  const high = Math.log(own.reduce((most, sd) => Math.max(most, sd), floor) * 60);
  const step = Math.min(STEP, 0.6 / Math.sqrt(freedom));
  const count = Math.max(1, Math.ceil((high - low) / step));
  return Array.from({ length: count + 1 }, (_, i) => {
    const sd = Math.exp(low + ((high - low) * i) / count);
    const learned =
      known === undefined || known.degreesOfFreedom === null
        ? 0
        : -known.degreesOfFreedom * (Math.log(sd) + (known.sd / sd) ** 2 / 2);
    return { sd, log: Math.log(sd / (sd + FLOOR_SHARE * floor)) + learned };
  });
}

/** Share of the absolute error below which small standard deviations of a run lose prior weight [1]; chosen. */
const FLOOR_SHARE = 0.3;

interface Solution {
  readonly means: readonly number[];
  readonly scales: readonly number[];
  /** weighted sum of squares left over */
  readonly squares: number;
  /** logarithm of the restricted likelihood's determinants */
  readonly log: number;
}

/** Generalised least squares with covariance variance * relative + absolute. */
function solve(model: RunModel, relative: Rows, variance = 1, absolute?: Rows): Solution {
  const n = model.values.length;
  const lower = cholesky(
    relative.map((row, r) => row.map((value, k) => variance * value + ((absolute?.[r]?.[k] as number) ?? 0))),
  );
  const p = model.design[0]?.length ?? 0;
  const columns = Array.from({ length: p }, (_, j) =>
    forward(
      lower,
      model.design.map((row) => row[j] as number),
    ),
  );
  const y = forward(lower, model.values);
  const normal = columns.map((a) => columns.map((b) => dot(a, b)));
  const root = cholesky(normal);
  const right = forward(
    root,
    columns.map((column) => dot(column, y)),
  );
  const means = backward(root, right);
  let squares = 0;
  for (let r = 0; r < n; r++) {
    const fitted = columns.reduce((sum, column, j) => sum + (column[r] as number) * (means[j] as number), 0);
    squares += ((y[r] as number) - fitted) ** 2;
  }
  const scales = Array.from({ length: p }, (_, j) => {
    const unit = forward(
      root,
      Array.from({ length: p }, (_, i) => (i === j ? 1 : 0)),
    );
    return Math.sqrt(dot(unit, unit));
  });
  // A sum of squares of nothing but rounded digits would weigh one candidate infinitely.
  const digits = y.reduce((sum, value) => sum + value * value, 0) * 1e-26;
  return {
    means,
    scales,
    squares: Math.max(squares, digits),
    log: -logDiagonal(lower) - logDiagonal(root),
  };
}

const dot = (a: readonly number[], b: readonly number[]): number =>
  a.reduce((sum, value, i) => sum + value * (b[i] as number), 0);

const logDiagonal = (lower: Rows): number =>
  lower.reduce((sum, row, i) => sum + Math.log(row[i] as number), 0);

/** Lower triangle L with L L' = matrix. */
function cholesky(matrix: Rows): number[][] {
  const n = matrix.length;
  const lower = Array.from({ length: n }, () => new Array<number>(n).fill(0));
  for (let i = 0; i < n; i++) {
    const row = lower[i] as number[];
    for (let j = 0; j <= i; j++) {
      const other = lower[j] as number[];
      let sum = matrix[i]?.[j] as number;
      const whole = sum;
      for (let k = 0; k < j; k++) sum -= (row[k] as number) * (other[k] as number);
      if (i === j && !(sum > 1e-12 * whole)) {
        throw new BellmouthError({
          code: "E_SINGULAR",
          message: "the order of the runs cannot tell a drift from an effect",
          found: `${n} by ${n} matrix without an inverse`,
          accepted: "runs of both sides at different times",
          at: { path: "runs" },
        });
      }
      row[j] = i === j ? Math.sqrt(sum) : sum / (other[j] as number);
    }
  }
  return lower;
}

function forward(lower: Rows, column: readonly number[]): number[] {
  const out: number[] = [];
  for (let i = 0; i < lower.length; i++) {
    let sum = column[i] as number;
    for (let k = 0; k < i; k++) sum -= (lower[i]?.[k] as number) * (out[k] as number);
    out.push(sum / (lower[i]?.[i] as number));
  }
  return out;
}

function backward(lower: Rows, column: readonly number[]): number[] {
  const n = lower.length;
  const out = new Array<number>(n).fill(0);
  for (let i = n - 1; i >= 0; i--) {
    let sum = column[i] as number;
    for (let k = i + 1; k < n; k++) sum -= (lower[k]?.[i] as number) * (out[k] as number);
    out[i] = sum / (lower[i]?.[i] as number);
  }
  return out;
}

/** Mean of coefficient j over the terms. */
export const mixtureMean = (terms: readonly MixtureTerm[], j: number): number =>
  terms.reduce((sum, term) => sum + term.weight * (term.means[j] as number), 0);

/** Probability that coefficient j is below x [1]. */
export const mixtureBelow = (terms: readonly MixtureTerm[], j: number, x: number): number =>
  terms.reduce((sum, { weight, means, scales, degreesOfFreedom }) => {
    const z = (x - (means[j] as number)) / (scales[j] as number);
    return sum + weight * (degreesOfFreedom === null ? normalCdf(z) : studentTCdf(z, degreesOfFreedom));
  }, 0);

/**
 * Value of coefficient j below which a share p of the mixture lies.
 *
 * @param p 0 < p < 1 [1]
 */
export function mixtureQuantile(terms: readonly MixtureTerm[], j: number, p: number): number {
  const below = (x: number): number => mixtureBelow(terms, j, x);
  const reach = terms.map(({ means, scales, degreesOfFreedom }) => {
    const half = Math.abs(quantile(Math.abs(2 * p - 1), degreesOfFreedom)) * (scales[j] as number);
    return [(means[j] as number) - half, (means[j] as number) + half] as const;
  });
  let low = reach.reduce((least, [from]) => Math.min(least, from), Number.POSITIVE_INFINITY);
  let high = reach.reduce((most, [, to]) => Math.max(most, to), Number.NEGATIVE_INFINITY);
  if (!(high > low)) return low;
  // False position (Illinois) between halvings: the function is smooth and each value of it is dear.
  let [atLow, atHigh] = [below(low) - p, below(high) - p];
  for (let i = 0; i < 60 && high - low > 1e-9 * (Math.abs(high) + Math.abs(low)); i++) {
    const secant = (low * atHigh - high * atLow) / (atHigh - atLow);
    const x = i % 3 === 2 || !(secant > low && secant < high) ? (low + high) / 2 : secant;
    const value = below(x) - p;
    if (Math.abs(value) < 1e-9) return x;
    if (value < 0) {
      low = x;
      atLow = value;
      atHigh /= 2;
    } else {
      high = x;
      atHigh = value;
      atLow /= 2;
    }
  }
  return (low + high) / 2;
}

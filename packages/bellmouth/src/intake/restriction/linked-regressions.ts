import { linearLeastSquares, type Rows } from "../../fit/index.js";

/**
 * Several quantities measured on the same occasions (the pressures at the stations of a tract, say), each a linear
 * function of its own regressors. Their errors belong together in an unknown way: neighbours share a station, all
 * share the gust and the flow. So each series is fitted by itself, and the covariance between series is estimated
 * from the products of their residuals. Where all series share one design this is the classical multivariate
 * regression, and any combination of coefficients is Student-t with n - p degrees of freedom exactly, whatever the
 * covariance is.
 */
export interface LinkedSeries {
  /** one row of regressors per occasion */
  readonly design: Rows;
  /** one value per occasion; NaN where this series was not measured */
  readonly y: readonly number[];
}

interface FittedSeries {
  readonly coefficients: readonly number[];
  /** coefficients = gain * y; zero where y is missing */
  readonly gain: Rows;
  /** residual over the occasion's relative scatter; zero where missing */
  readonly residuals: readonly number[];
  readonly measured: readonly boolean[];
  /** residual-maker I - hat over the occasions, scaled; rows and columns of missing occasions are zero */
  readonly maker: Rows;
}

export interface LinkedFit {
  readonly series: readonly FittedSeries[];
  /** relative scatter of each occasion [1] */
  readonly scatter: readonly number[];
  /** true when all series share one design and were measured on every occasion */
  readonly complete: boolean;
  /** covariance between series at scatter 1, in the product of their units; null when the data leave no freedom */
  readonly covariance: Rows | null;
}

/** Weight of every measured value in a combination of coefficients: one row per series, one column per occasion. */
export type Loads = Rows;

const sum = (n: number, term: (i: number) => number): number => {
  let total = 0;
  for (let i = 0; i < n; i++) total += term(i);
  return total;
};

function fitSeries(series: LinkedSeries, scatter: readonly number[]): FittedSeries {
  const measured = series.y.map((value) => !Number.isNaN(value));
  const kept = measured.flatMap((is, k) => (is ? [k] : []));
  const weights = kept.map((k) => 1 / (scatter[k] as number) ** 2);
  const fit = linearLeastSquares(
    kept.map((k) => series.design[k] as readonly number[]),
    kept.map((k) => series.y[k] as number),
    { weights, spread: "known" },
  );
  const inverse = fit.covariance as Rows;
  const p = fit.parameters.length;
  const n = scatter.length;
  const zeros = (): number[] => new Array<number>(n).fill(0);
  const gain = Array.from({ length: p }, zeros);
  const residuals = zeros();
  kept.forEach((k, i) => {
    residuals[k] = (fit.residuals[i] as number) / (scatter[k] as number);
    for (let a = 0; a < p; a++) {
      const row = gain[a] as number[];
      row[k] = sum(
        p,
        (b) => (inverse[a]?.[b] as number) * (series.design[k]?.[b] as number) * (weights[i] as number),
      );
    }
  });
  const maker = Array.from({ length: n }, zeros);
  for (const k of kept) {
    for (const l of kept) {
      const hat =
        (sum(p, (a) => (series.design[k]?.[a] as number) * (gain[a]?.[l] as number)) *
          (scatter[l] as number)) /
        (scatter[k] as number);
      (maker[k] as number[])[l] = (k === l ? 1 : 0) - hat;
    }
  }
  return { coefficients: fit.parameters, gain, residuals, measured, maker };
}

const shared = (a: FittedSeries, b: FittedSeries): number[] =>
  a.measured.flatMap((is, k) => (is && b.measured[k] ? [k] : []));

/**
 * Covariance of two series from the products of their residuals, unbiased also when they were measured on partly
 * different occasions. Zero when they never were measured together, and then it does not matter: no combination of
 * their coefficients shares an error.
 */
function pairCovariance(a: FittedSeries, b: FittedSeries): number {
  const both = shared(a, b);
  let freedom = 0;
  for (const k of both) {
    for (const l of both) freedom += (a.maker[k]?.[l] as number) * (b.maker[k]?.[l] as number);
  }
  if (!(freedom > 1e-6)) return 0;
  return (
    both.reduce((total, k) => total + (a.residuals[k] as number) * (b.residuals[k] as number), 0) / freedom
  );
}

/**
 * Fits every series and the covariance between them.
 *
 * @param series  at least one; designs of one width [1 per unit of y]
 * @param scatter relative scatter of each occasion [1], > 0
 * @throws `E_TOO_LITTLE_DATA` and `E_SINGULAR` of the fit of a series
 */
export function linkedRegressions(series: readonly LinkedSeries[], scatter: readonly number[]): LinkedFit {
  const fitted = series.map((one) => fitSeries(one, scatter));
  const free = fitted.every((one) => sum(scatter.length, (k) => one.maker[k]?.[k] as number) > 1e-6);
  return {
    series: fitted,
    scatter,
    complete:
      series.every((one) => one.design === series[0]?.design) &&
      fitted.every((one) => one.measured.every((is) => is)),
    covariance: free ? fitted.map((a) => fitted.map((b) => pairCovariance(a, b))) : null,
  };
}

/** Loads of the combination sum over series i and coefficients a of `weights[i][a] * coefficient[i][a]`. */
export function loadsOf(fit: LinkedFit, weights: Rows): number[][] {
  return fit.series.map((one, i) =>
    one.measured.map((_, k) =>
      sum(one.gain.length, (a) => (weights[i]?.[a] ?? 0) * (one.gain[a]?.[k] as number)),
    ),
  );
}

/** Value of the combination, in the unit of its weights times coefficients. */
export function combine(fit: LinkedFit, weights: Rows): number {
  return fit.series.reduce(
    (total, one, i) =>
      total + sum(one.coefficients.length, (a) => (weights[i]?.[a] ?? 0) * (one.coefficients[a] as number)),
    0,
  );
}

/** Covariance of two combinations given by their loads, under a covariance between series. */
export function covarianceOfLoads(fit: LinkedFit, covariance: Rows, a: Loads, b: Loads): number {
  let total = 0;
  fit.series.forEach((one, i) => {
    fit.series.forEach((other, j) => {
      const sigma = covariance[i]?.[j] as number;
      if (sigma === 0) return;
      for (const k of shared(one, other)) {
        total += sigma * (a[i]?.[k] as number) * (b[j]?.[k] as number) * (fit.scatter[k] as number) ** 2;
      }
    });
  });
  return total;
}

/**
 * Degrees of freedom [1] of the estimated variance of a combination, after Welch and Satterthwaite: n - p when every
 * series was measured on every occasion, and the mixture that the variances call for when not.
 *
 * @source F. E. Satterthwaite, "An approximate distribution of estimates of variance components", Biometrics
 *   Bulletin 2 (1946) 110
 */
export function freedomOfLoads(fit: LinkedFit, covariance: Rows, loads: Loads): number {
  const n = fit.scatter.length;
  const m = fit.series.length;
  const [first] = fit.series;
  // All series on all occasions of one design: the combination is itself one regression, with n - p left over.
  if (first !== undefined && fit.complete) return sum(n, (k) => first.maker[k]?.[k] as number);
  const left = fit.series.map((one) =>
    Array.from({ length: n }, (_, k) => (one.measured[k] ? (one.maker[k]?.[k] as number) : 0)),
  );
  // q[i][j]: what the covariance of series i and j is multiplied by in the variance of the combination
  const q = fit.series.map((one, i) =>
    fit.series.map((other, j) =>
      shared(one, other).reduce(
        (total, k) =>
          total + (loads[i]?.[k] as number) * (loads[j]?.[k] as number) * (fit.scatter[k] as number) ** 2,
        0,
      ),
    ),
  );
  const pairs = q.flatMap((row, i) => row.flatMap((value, j) => (value === 0 ? [] : [{ i, j, value }])));
  const freedom = (...of: number[]): number =>
    sum(
      n,
      (k) => of.reduce((product, i) => product * Math.max(0, left[i]?.[k] as number), 1) ** (1 / of.length),
    );
  const sigma = (i: number, j: number): number => covariance[i]?.[j] as number;
  let mean = 0;
  let variance = 0;
  for (const a of pairs) {
    mean += a.value * sigma(a.i, a.j);
    for (const b of pairs) {
      const cross = sigma(a.i, b.i) * sigma(a.j, b.j) + sigma(a.i, b.j) * sigma(a.j, b.i);
      if (cross === 0) continue;
      const own = freedom(a.i, a.j) * freedom(b.i, b.j);
      if (own > 0) variance += (a.value * b.value * cross * freedom(a.i, a.j, b.i, b.j)) / own;
    }
  }
  const least = Math.min(...Array.from({ length: m }, (_, i) => freedom(i)));
  if (!(mean > 0) || !(variance > 0)) return least;
  return Math.max(1e-3, (2 * mean * mean) / variance);
}

import { normalCdf, normalQuantile, type Rows } from "../../fit/index.js";
import type { Estimate } from "../estimate.js";
import { quantile } from "../interval.js";
import { combine, covarianceOfLoads, freedomOfLoads, loadsOf } from "./linked-regressions.js";
import { ratioInterval } from "./ratio-interval.js";
import type { SharedError, TractFit } from "./tract-fit.js";

/** Weights of a combination: one row per series, one column per coefficient of it. */
export type Weights = Rows;

/** Weights that pick `row` times the coefficients of a station's cumulative law. */
export function stationWeights(tract: TractFit, station: number, row: readonly number[]): number[][] {
  const weights = tract.fit.series.map((series) => series.coefficients.map(() => 0));
  row.forEach((x, c) => {
    const [series, column] = tract.place(station, c);
    (weights[series] as number[])[column] = x;
  });
  return weights;
}

/** a - b, entry by entry. */
export const minusWeights = (a: Weights, b: Weights): number[][] =>
  a.map((row, i) => row.map((value, j) => value - (b[i]?.[j] as number)));

/** Variance or covariance of combinations, by where it comes from. */
interface Variances {
  /** from the scatter of the readings, which is estimated (or stated, see `TractFit.estimated`) */
  readonly scatter: number;
  /** stated: gauge zeros and scales, and what rounding has in common beyond the scatter */
  readonly stated: number;
}

function variances(tract: TractFit, covariance: Rows, a: Rows, b: Rows): Variances {
  let stated = 0;
  for (const error of tract.gaugeErrors) stated += loadOn(a, error) * loadOn(b, error);
  for (const { series, occasions, covariance: shared } of tract.sharedRounding) {
    const [k, l] = occasions;
    const [rowA, rowB] = [a[series] as readonly number[], b[series] as readonly number[]];
    stated +=
      shared * ((rowA[k] as number) * (rowB[l] as number) + (rowA[l] as number) * (rowB[k] as number));
  }
  return { scatter: covarianceOfLoads(tract.fit, covariance, a, b), stated };
}

function loadOn(loads: Rows, error: SharedError): number {
  let total = 0;
  loads.forEach((row, i) => {
    row.forEach((load, k) => {
      total += load * (error[i]?.[k] as number);
    });
  });
  return total;
}

/** Share of the independent stations' variance under which an estimate from partly common occasions is not believed [1]. */
const UNBELIEVABLE = 0.01;

/**
 * The covariance between stations to judge a combination by. Where stations were read on partly different occasions,
 * covariances from few common ones can take more away than there is: the stations then count as independent.
 */
function soundCovariance(tract: TractFit, loads: Rows): Rows {
  if (tract.fit.complete) return tract.covariance;
  const alone = tract.covariance.map((row, i) => row.map((value, j) => (i === j ? value : 0)));
  const of = (covariance: Rows): number => covarianceOfLoads(tract.fit, covariance, loads, loads);
  return of(tract.covariance) > UNBELIEVABLE * of(alone) ? tract.covariance : alone;
}

/** Variance of a combination, the covariance it was judged by, and the degrees of freedom (null: nothing estimated). */
function judge(
  tract: TractFit,
  loads: Rows,
): { readonly variance: number; readonly covariance: Rows; readonly degreesOfFreedom: number | null } {
  const covariance = soundCovariance(tract, loads);
  const { scatter, stated } = variances(tract, covariance, loads, loads);
  // Rounding alike can also cancel; the scatter then still stands. Neither is below zero but for the last digit.
  const variance = Math.max(0, scatter, scatter + stated);
  if (!tract.estimated || !(scatter > 0)) return { variance, covariance, degreesOfFreedom: null };
  const own = freedomOfLoads(tract.fit, covariance, loads);
  // Welch-Satterthwaite: the stated part adds variance and no doubt about it.
  return { variance, covariance, degreesOfFreedom: own * (variance / scatter) ** 2 };
}

/** Whether the gauge's step, not noise, makes most of the error of a combination. */
export function stepDecides(tract: TractFit, weights: Weights): boolean {
  if (!(tract.stepVariance > 0)) return false;
  const loads = loadsOf(tract.fit, weights);
  const { scatter } = variances(tract, tract.covariance, loads, loads);
  const rounding = loads.reduce(
    (sum, row) => sum + tract.stepVariance * row.reduce((squares, load) => squares + load * load, 0),
    0,
  );
  return scatter < 2 * rounding;
}

/**
 * Upper end that a quantity which cannot be negative keeps when its free estimate is: the quantile of the normal
 * distribution cut at zero. Without it an estimate far below zero would be 0 to 0, and sure.
 */
function leastEnd(centre: number, u: number, confidence: number): number {
  if (!(centre < 0) || !(u > 0)) return 0;
  const z = centre / u;
  // Past eight standard errors the tail is exponential to the last digit.
  if (z < -8) return (-Math.log(1 - confidence) / -z) * u;
  const inside = normalCdf(z);
  return u * (z - normalQuantile((1 - confidence) * inside));
}

/**
 * Interval of a combination that cannot be negative.
 *
 * @param free        value by the free fit; the combination itself when undefined
 * @param constrained value by the constrained fit, which the interval is made to hold
 */
export function valueEstimate(
  tract: TractFit,
  weights: Weights,
  free: number | undefined,
  constrained: number,
  confidence: number,
): Estimate {
  const judged = judge(tract, loadsOf(tract.fit, weights));
  const centre = free ?? combine(tract.fit, weights);
  const half = quantile(confidence, judged.degreesOfFreedom) * Math.sqrt(judged.variance);
  return {
    value: constrained,
    u: Math.sqrt(judged.variance),
    from: Math.min(constrained, Math.max(0, centre - half)),
    to: Math.max(constrained, centre + half, leastEnd(centre, Math.sqrt(judged.variance), confidence)),
    degreesOfFreedom: judged.degreesOfFreedom,
    confidence,
  };
}

/**
 * Interval of one combination over another, within 0 and 1.
 *
 * @param free        value by the free fit: above and below
 * @param constrained ratio by the constrained fit, which the interval is made to hold
 */
export function shareEstimate(
  tract: TractFit,
  weights: { readonly above: Weights; readonly below: Weights },
  free: { readonly above: number; readonly below: number },
  constrained: number,
  confidence: number,
): Estimate {
  const above = loadsOf(tract.fit, weights.above);
  const below = loadsOf(tract.fit, weights.below);
  const ratio = free.below > 0 ? free.above / free.below : 0;
  const contrast = above.map((row, i) => row.map((load, k) => load - ratio * (below[i]?.[k] as number)));
  const judged = judge(tract, contrast);
  const pick = (parts: Variances): number => parts.scatter + parts.stated;
  const { from, to } = ratioInterval(
    {
      above: free.above,
      below: free.below,
      varianceAbove: pick(variances(tract, judged.covariance, above, above)),
      varianceBelow: pick(variances(tract, judged.covariance, below, below)),
      covariance: pick(variances(tract, judged.covariance, above, below)),
    },
    quantile(confidence, judged.degreesOfFreedom),
  );
  const clip = (value: number): number => Math.min(1, Math.max(0, value));
  const u = free.below > 0 ? Math.sqrt(judged.variance) / free.below : 1;
  return {
    value: constrained,
    u,
    from: from === null ? 0 : Math.min(constrained, clip(from)),
    to: to === null ? 1 : Math.max(constrained, clip(to), clip(leastEnd(ratio, u, confidence))),
    degreesOfFreedom: judged.degreesOfFreedom,
    confidence,
  };
}

import { BellmouthError } from "../../fault/index.js";
import { linearLeastSquares, type Rows } from "../../fit/index.js";
import type { Estimate } from "../estimate.js";
import { interval } from "../interval.js";
import { adjustedRunMeans } from "./run-means.js";

/** What is known beforehand of how well one run repeats another. */
export interface Repeatability {
  /** Standard deviation of a run's mean over the points about what the same car gives on the same day [Pa] or [K]. */
  readonly sd: number;
  /** The same of a run's value at one point, which is more [Pa] or [K]; without it single points rest on these runs alone. */
  readonly pointSd?: number;
  /** Degrees of freedom it was found with [1]: runs less one. Taken as known when not given. */
  readonly degreesOfFreedom?: number;
}

export interface EffectOptions {
  readonly drift: "linear" | "none";
  readonly repeatability?: Repeatability;
  readonly confidence: number;
}

/** Values of all runs at all points, in the order of time. */
export interface RunTable {
  /** rows are runs, columns points; NaN where a run does not cover a point */
  readonly values: Rows;
  readonly after: readonly boolean[];
  /** [s] */
  readonly time: readonly number[];
}

/** Where the doubt about an effect comes from. */
export type DoubtSource = "runs" | "runs and stated" | "stated" | "unknown";

export interface RunEffect {
  /** after less before, in the unit of the values */
  readonly value: number;
  /** the same with its interval; null when nothing judges it */
  readonly estimate: Estimate | null;
  /** change per hour that all runs share; null when it is not in the model */
  readonly drift: Estimate | null;
  /** standard deviation of a run about the model, in the unit of the values; null when unknown */
  readonly runSd: number | null;
  readonly doubt: DoubtSource;
  /** before side at the middle of the trial, in the unit of the values */
  readonly level: number;
  /** variance of the effect over that of the best order of as many runs [1] */
  readonly orderCost: number;
}

const HOUR = 3600;

/**
 * Whether a drift stands in the model: whenever the caller does not rule it out and three runs or more can tell it from
 * an effect. With exactly three nothing is then left to judge the scatter by, and a stated repeatability is needed.
 */
const driftFits = (runs: number, options: EffectOptions): boolean => options.drift === "linear" && runs >= 3;

/**
 * Effect of a part from one number a run: least squares on side and, where runs allow, a straight drift with time.
 * Degrees of freedom are runs less coefficients. The samples within a run, however many, never enter them.
 *
 * @param means  one value per run, any unit
 * @param shape  relative covariance of the values; the identity when all runs are alike
 * @throws `E_SINGULAR` when the order of the runs cannot tell a drift from an effect
 */
export function effectOfMeans(
  means: readonly number[],
  table: Pick<RunTable, "after" | "time">,
  options: EffectOptions,
  shape?: Rows,
): RunEffect {
  const n = means.length;
  const withDrift = driftFits(n, options);
  const middle = table.time.reduce((sum, t) => sum + t, 0) / n;
  const design = table.after.map((after, r) => [
    1,
    after ? 1 : 0,
    ...(withDrift ? [((table.time[r] as number) - middle) / HOUR] : []),
  ]);
  const root = shape === undefined ? undefined : inverseRoot(shape);
  const whiten = (column: readonly number[]): number[] =>
    root === undefined ? [...column] : times(root, column);
  const columns = design[0]?.map((_, j) => whiten(design.map((row) => row[j] as number))) as number[][];
  const whiteDesign = design.map((_, r) => columns.map((column) => column[r] as number));
  const fit = linearLeastSquares(whiteDesign, whiten(means), { spread: "known" });
  const covariance = fit.covariance as Rows;
  const freedom = fit.degreesOfFreedom;
  const { sd, degreesOfFreedom, doubt } = spreadOf(fit.sumOfSquares, freedom, options.repeatability);
  const estimate = (i: number): Estimate | null =>
    sd === null
      ? null
      : interval(
          fit.parameters[i] as number,
          sd * Math.sqrt(covariance[i]?.[i] as number),
          degreesOfFreedom,
          options.confidence,
        );
  const counts = [table.after.filter((is) => !is).length, table.after.filter((is) => is).length] as const;
  return {
    value: fit.parameters[1] as number,
    estimate: estimate(1),
    drift: withDrift ? estimate(2) : null,
    runSd: sd,
    doubt,
    level: fit.parameters[0] as number,
    orderCost: (covariance[1]?.[1] as number) / (1 / counts[0] + 1 / counts[1]),
  };
}

/**
 * Pooled effect over all points: each run is first brought to one number, its mean over the points (adjusted where a run
 * misses some), because the points of one run share its gust, its heat and its driver.
 *
 * @param table runs by points
 * @throws `E_TOO_LITTLE_DATA` when the sides share no point, `E_SINGULAR` as `effectOfMeans`
 */
export function pooledEffect(
  table: RunTable,
  options: EffectOptions,
): RunEffect & { readonly points: readonly number[] } {
  const adjusted = adjustedRunMeans(table.values, table.after);
  const first = effectOfMeans(adjusted.means, table, options);
  if (adjusted.complete) return { ...first, points: adjusted.points };
  // With points missing, runs differ in how well their mean is known: run variance plus their share of point noise.
  const own = first.doubt === "runs" && first.runSd !== null ? first.runSd ** 2 : null;
  const shape = adjusted.shape(own);
  return { ...effectOfMeans(adjusted.means, table, options, shape), points: adjusted.points };
}

/**
 * Effect at each point by itself, from the runs that cover it. Null where a side has no run there.
 *
 * @param table runs by points
 */
export function pointEffects(table: RunTable, options: EffectOptions): (RunEffect | null)[] {
  const points = table.values[0]?.length ?? 0;
  const { repeatability, ...plain } = options;
  const own: EffectOptions =
    repeatability?.pointSd === undefined
      ? plain
      : { ...plain, repeatability: { ...repeatability, sd: repeatability.pointSd } };
  return Array.from({ length: points }, (_, i) => {
    const kept = table.values.flatMap((row, r) => (Number.isNaN(row[i] as number) ? [] : [r]));
    const after = kept.map((r) => table.after[r] as boolean);
    if (!after.includes(true) || !after.includes(false)) return null;
    return effectOfMeans(
      kept.map((r) => table.values[r]?.[i] as number),
      { after, time: kept.map((r) => table.time[r] as number) },
      own,
    );
  });
}

function spreadOf(
  sumOfSquares: number,
  freedom: number,
  stated: Repeatability | undefined,
): { readonly sd: number | null; readonly degreesOfFreedom: number | null; readonly doubt: DoubtSource } {
  const known = stated?.degreesOfFreedom;
  if (stated !== undefined && known !== undefined) {
    const all = freedom + known;
    const sd = Math.sqrt((sumOfSquares + known * stated.sd ** 2) / all);
    return { sd, degreesOfFreedom: all, doubt: freedom > 0 ? "runs and stated" : "stated" };
  }
  if (freedom > 0) return { sd: Math.sqrt(sumOfSquares / freedom), degreesOfFreedom: freedom, doubt: "runs" };
  if (stated !== undefined) return { sd: stated.sd, degreesOfFreedom: null, doubt: "stated" };
  return { sd: null, degreesOfFreedom: 0, doubt: "unknown" };
}

/** L^-1 of the Cholesky factor: white = L^-1 y has unit covariance. */
function inverseRoot(shape: Rows): number[][] {
  const n = shape.length;
  const lower = Array.from({ length: n }, () => new Array<number>(n).fill(0));
  for (let i = 0; i < n; i++) {
    for (let j = 0; j <= i; j++) {
      let sum = shape[i]?.[j] as number;
      for (let k = 0; k < j; k++) sum -= (lower[i]?.[k] as number) * (lower[j]?.[k] as number);
      if (i === j && !(sum > 0)) {
        throw new BellmouthError({
          code: "E_SINGULAR",
          message: "the runs' covariance is not positive",
          found: `${sum}`,
          accepted: "runs that share points",
        });
      }
      (lower[i] as number[])[j] = i === j ? Math.sqrt(sum) : sum / (lower[j]?.[j] as number);
    }
  }
  const inverse = Array.from({ length: n }, () => new Array<number>(n).fill(0));
  for (let j = 0; j < n; j++) {
    for (let i = j; i < n; i++) {
      let sum = i === j ? 1 : 0;
      for (let k = j; k < i; k++) sum -= (lower[i]?.[k] as number) * (inverse[k]?.[j] as number);
      (inverse[i] as number[])[j] = sum / (lower[i]?.[i] as number);
    }
  }
  return inverse;
}

const times = (matrix: Rows, column: readonly number[]): number[] =>
  matrix.map((row) => row.reduce((sum, value, k) => sum + value * (column[k] as number), 0));

import type { Rows } from "../../fit/index.js";
import type { Estimate } from "../estimate.js";
import { quantile } from "../interval.js";
import { harmonicDamping } from "../reading-step.js";
import { type DriftOptions, driftCandidates, statedDrift } from "./drift.js";
import {
  type MixtureTerm,
  mixtureBelow,
  mixtureMean,
  mixtureOfRuns,
  mixtureQuantile,
} from "./run-covariance.js";
import { adjustedRunMeans } from "./run-means.js";
import { orderCost } from "./run-order.js";

/** What is known beforehand of how well one run repeats another. */
export interface Repeatability {
  /** Standard deviation of a run's mean over the points about what the same car gives on the same day [Pa] or [K]. */
  readonly sd: number;
  /** The same of a run's value at one point, which is more [Pa] or [K]; without it single points rest on these runs alone. */
  readonly pointSd?: number;
  /** Degrees of freedom it was found with [1]: runs less one. Taken as known when not given. */
  readonly degreesOfFreedom?: number;
}

export interface EffectOptions extends DriftOptions {
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
  /** variance that each harmonic of the readings' rounding has in each value; see `ReducedRun.rounding` */
  readonly rounding?: readonly (readonly (readonly number[])[])[];
  /** step of the values, in their unit; 0 for none */
  readonly step?: number;
}

/** Where the uncertainty of an effect comes from. */
export type UncertaintySource = "runs" | "runs and stated" | "stated" | "unknown";

export interface RunEffect {
  /** after less before, in the unit of the values */
  readonly value: number;
  /** the same with its interval; null when nothing judges it */
  readonly estimate: Estimate | null;
  /** change per hour that all runs share; null when it is not in the model as a coefficient */
  readonly drift: Estimate | null;
  /** standard deviation of a run about the model, in the unit of the values; null when unknown */
  readonly runSd: number | null;
  readonly source: UncertaintySource;
  /** before side at the middle of the trial, in the unit of the values */
  readonly level: number;
}

const HOUR = 3600;
/** Variance cost of the order from which a drift looks much like the effect [1]. */
export const CONFOUNDED = 2;

/** Rounding of the runs' values: harmonics' variances of each run, and how much a run's point scatters over the mean. */
export interface RunRounding {
  readonly harmonics: Rows;
  readonly step: number;
  readonly noiseRatio: number;
}

/**
 * Effect of a part from one number a run. The samples within a run, however many, never enter the degrees of freedom.
 *
 * @param means    one value per run, any unit
 * @param shape    relative covariance of the values; the identity when all runs are alike
 * @param rounding what the readings' step adds
 * @throws `E_SINGULAR` when the order of the runs cannot tell a drift from an effect
 */
export function effectOfMeans(
  means: readonly number[],
  table: Pick<RunTable, "after" | "time">,
  options: EffectOptions,
  shape?: Rows,
  rounding?: RunRounding,
): RunEffect {
  const n = means.length;
  const middle = table.time.reduce((sum, t) => sum + t, 0) / n;
  // With two runs an effect and a drift are one number: the result is flagged, and no model would tell them apart.
  const sloped = options.drift === "linear" && n >= 3;
  const relative = shape ?? identity(n);
  const stated = statedDrift(table.time, options);
  const { repeatability } = options;
  const columns = sloped ? 3 : 2;
  // A repeatability without degrees of freedom is a fallback; one that was learned is pooled.
  const uses = repeatability !== undefined && (repeatability.degreesOfFreedom !== undefined || n <= columns);
  const exact = repeatability !== undefined && repeatability.degreesOfFreedom === undefined;
  const freedom = n - columns + (uses ? (repeatability.degreesOfFreedom ?? 0) : 0);
  const confounded = orderCost(table) > CONFOUNDED;
  // Three runs in such an order leave one degree of freedom, which a drift of any size would explain.
  if (options.drift === "unknown" && confounded && freedom < 2 && !(uses && exact))
    return plainEffect(means, table);
  const terms = mixtureOfRuns({
    values: means,
    design: table.after.map((after, r) => [
      1,
      after ? 1 : 0,
      ...(sloped ? [((table.time[r] as number) - middle) / HOUR] : []),
    ]),
    candidates:
      n >= 3
        ? driftCandidates(table.time, relative, {
            ...options,
            confounded,
            after: table.after,
            freedom: uses && exact ? null : freedom,
          })
        : [{ weight: 1, relative, taken: 0 }],
    ...(stated === undefined && rounding === undefined
      ? {}
      : { absolute: (sd: number) => absoluteCovariance(n, stated, rounding, table.after, sd) }),
    ...(uses
      ? { known: { sd: repeatability.sd, degreesOfFreedom: repeatability.degreesOfFreedom ?? null } }
      : {}),
  });
  if (terms.length === 0) return plainEffect(means, table);
  const behind = uses && exact ? null : freedom;
  return {
    value: mixtureMean(terms, 1),
    estimate: estimateOf(terms, 1, behind, options.confidence),
    drift: sloped ? estimateOf(terms, 2, behind, options.confidence) : null,
    runSd: Math.sqrt(terms.reduce((sum, term) => sum + term.weight * term.sd ** 2, 0)),
    source: !uses ? "runs" : n > columns ? "runs and stated" : "stated",
    level: mixtureMean(terms, 0),
  };
}

/** Whether the interval of an effect with an unknown drift leaves out zero, without finding its ends. */
export function leavesOutZero(
  means: readonly number[],
  table: Pick<RunTable, "after" | "time">,
  confidence: number,
): boolean {
  const n = means.length;
  if (n < 3) return false;
  const terms = mixtureOfRuns({
    values: means,
    design: table.after.map((after) => [1, after ? 1 : 0]),
    candidates: driftCandidates(table.time, identity(n), {
      drift: "unknown",
      confounded: orderCost(table) > CONFOUNDED,
      after: table.after,
      freedom: n - 2,
    }),
  });
  const below = mixtureBelow(terms, 1, 0);
  return below < (1 - confidence) / 2 || below > (1 + confidence) / 2;
}

/** Difference of the sides' means where nothing judges it. */
function plainEffect(means: readonly number[], table: Pick<RunTable, "after">): RunEffect {
  const mean = (side: boolean): number => {
    const own = means.filter((_, r) => table.after[r] === side);
    return own.reduce((sum, value) => sum + value, 0) / own.length;
  };
  const level = mean(false);
  return { value: mean(true) - level, estimate: null, drift: null, runSd: null, source: "unknown", level };
}

function estimateOf(
  terms: readonly MixtureTerm[],
  j: number,
  freedom: number | null,
  confidence: number,
): Estimate {
  const from = mixtureQuantile(terms, j, (1 - confidence) / 2);
  const to = mixtureQuantile(terms, j, (1 + confidence) / 2);
  return {
    value: mixtureMean(terms, j),
    u: (to - from) / 2 / quantile(confidence, freedom),
    from,
    to,
    degreesOfFreedom: freedom,
    confidence,
  };
}

/** Stated drift and soak, and rounding: runs of one side read nearly one pressure, so their rounding errors belong together. */
function absoluteCovariance(
  n: number,
  stated: Rows | undefined,
  rounding: RunRounding | undefined,
  after: readonly boolean[],
  sd: number,
): number[][] {
  const out = Array.from({ length: n }, (_, r) =>
    Array.from({ length: n }, (_, k) => (stated?.[r]?.[k] as number) ?? 0),
  );
  if (rounding === undefined) return out;
  const kept = (rounding.harmonics[0] ?? []).map((_, h) =>
    harmonicDamping(h + 1, rounding.noiseRatio * sd, rounding.step),
  );
  for (let r = 0; r < n; r++) {
    for (let k = 0; k < n; k++) {
      if (after[r] !== after[k]) continue;
      const row = out[r] as number[];
      (rounding.harmonics[r] as readonly number[]).forEach((variance, h) => {
        const other = rounding.harmonics[k]?.[h] as number;
        row[k] =
          (row[k] as number) + (r === k ? variance : Math.sqrt(variance * other) * (kept[h] as number));
      });
    }
  }
  return out;
}

const identity = (n: number): number[][] =>
  Array.from({ length: n }, (_, r) => Array.from({ length: n }, (_, k) => (r === k ? 1 : 0)));

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
  const rounding = pooledRounding(table, adjusted.points);
  const first = effectOfMeans(adjusted.means, table, options, undefined, rounding);
  if (adjusted.complete) return { ...first, points: adjusted.points };
  // With points missing, runs differ in how well their mean is known: run variance plus their share of point noise.
  const own = first.source === "runs" && first.runSd !== null ? first.runSd ** 2 : null;
  const shape = adjusted.shape(own);
  return { ...effectOfMeans(adjusted.means, table, options, shape, rounding), points: adjusted.points };
}

/**
 * Rounding of the runs' means over the points. Points of one curve are rounded independently where the curve crosses
 * steps from one to the next, and alike where it stays within one.
 */
function pooledRounding(table: RunTable, points: readonly number[]): RunRounding | undefined {
  const { rounding, step } = table;
  if (rounding === undefined || step === undefined || !(step > 0)) return undefined;
  const harmonics = rounding.map((run, r) => {
    const own = points.filter((i) => (run[i] as readonly number[]).length > 0);
    const read = own.map((i) => table.values[r]?.[i] as number);
    const span =
      read.reduce((a, b) => Math.max(a, b), -Infinity) - read.reduce((a, b) => Math.min(a, b), Infinity);
    const share = span <= step ? own.length : own.length ** 2;
    return (run[own[0] as number] as readonly number[]).map(
      (_, h) => own.reduce((sum, i) => sum + (run[i]?.[h] as number), 0) / share,
    );
  });
  return { harmonics, step, noiseRatio: noiseRatio(table, points) };
}

/** Scatter of single points between runs of a side over that of the runs' means [1]: what the readings were rounded with. */
function noiseRatio(table: RunTable, points: readonly number[]): number {
  let single = 0;
  let pooled = 0;
  for (const side of [false, true]) {
    const rows = table.values.filter((_, r) => table.after[r] === side);
    const kept = points.filter((i) => rows.every((row) => !Number.isNaN(row[i] as number)));
    const squares = (values: readonly number[]): number => {
      const mean = values.reduce((sum, value) => sum + value, 0) / values.length;
      return values.reduce((sum, value) => sum + (value - mean) ** 2, 0);
    };
    if (kept.length === 0) continue;
    single += kept.reduce((sum, i) => sum + squares(rows.map((row) => row[i] as number)), 0) / kept.length;
    pooled += squares(rows.map((row) => kept.reduce((sum, i) => sum + (row[i] as number), 0) / kept.length));
  }
  return pooled > 0 && single > pooled ? Math.sqrt(Math.min(single / pooled, points.length)) : 1;
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
    const { rounding, step } = table;
    return effectOfMeans(
      kept.map((r) => table.values[r]?.[i] as number),
      { after, time: kept.map((r) => table.time[r] as number) },
      own,
      undefined,
      rounding === undefined || step === undefined || !(step > 0)
        ? undefined
        : { harmonics: kept.map((r) => rounding[r]?.[i] as readonly number[]), step, noiseRatio: 1 },
    );
  });
}

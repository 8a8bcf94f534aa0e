import { airDensity, type MoistAir } from "../../air/index.js";
import { BellmouthError, requireNumber } from "../../fault/index.js";
import { kelvins, pascals, type RotationalSpeed } from "../../units/index.js";
import { quantile } from "../interval.js";
import { detectableShift } from "./power-of-trial.js";
import { type ReducedRun, reduceRun } from "./reduce-run.js";
import { requirePoints, requireRuns, type TrialRun } from "./run.js";
import { type EffectOptions, pointEffects, pooledEffect, type RunEffect } from "./run-effect.js";
import { requirePower, runsNeeded } from "./runs-needed.js";
import type { PointEffect, TrialFlag, TrialOptions, TrialResult } from "./trial-result.js";

const HOUR = 3600;
/** Variance cost of the order from which it is worth a word [1]: doubt twice as wide as it need be. */
const COSTLY_ORDER = 2;
/** Spread of air density over the runs from which the correction itself is worth a word [1]. */
const AIR_DIFFERS = 0.03;

/**
 * Compares runs with an old and a new part, back to back.
 *
 * Each run is reduced to its values at the points (local regression) in common air; the runs, not their samples, are the
 * observations. Model: level at each point + effect + steady drift + the run's own deviation. The pooled effect is judged
 * from one number a run, each point's effect from the runs that cover it; degrees of freedom are runs less coefficients.
 *
 * @param runs    in any order; their time stamps [s] give it
 * @param options points [rev/s], quantity, power [1]
 * @throws `E_TOO_LITTLE_DATA` without runs on both sides, samples, or points in common; `E_DOMAIN` on values that a unit,
 *   a gauge or a barometer mistake explains; `E_SHAPE`, `E_ORDER` on runs and points; `E_SINGULAR` when the order of the runs
 *   cannot tell a drift from an effect
 * @source mixed model of runs within sides; e.g. D. C. Montgomery, Design and Analysis of Experiments, on nested designs
 */
export function compareRuns(runs: readonly TrialRun[], options: TrialOptions): TrialResult {
  const confidence = requireNumber(options.confidence ?? 0.95, "confidence", "1", { from: 0.5, under: 1 });
  const power = requirePower(options.power, confidence);
  if (options.repeatability !== undefined) {
    requireNumber(options.repeatability.sd, "repeatability.sd", "Pa or K", { over: 0 });
    requireNumber(options.repeatability.pointSd ?? 1, "repeatability.pointSd", "Pa or K", { over: 0 });
    requireNumber(options.repeatability.degreesOfFreedom ?? 1, "repeatability.degreesOfFreedom", "1", {
      from: 1,
    });
  }
  requirePoints(options.points);
  const sorted = requireRuns(runs, options.quantity);
  const common = options.common ?? meanAir(sorted);
  const reduced = sorted.map((run) =>
    reduceRun(run, options.points, { quantity: options.quantity, window: windowOf(options), common }),
  );
  const table = {
    values: reduced.map((one) => one.values),
    after: sorted.map((run) => run.side === "after"),
    time: sorted.map((run) => run.at as number),
  };
  const model: EffectOptions = {
    drift: options.drift ?? "linear",
    confidence,
    ...(options.repeatability === undefined ? {} : { repeatability: options.repeatability }),
  };
  const pooled = pooledEffect(table, model);
  const byPoint = pointEffects(table, model);
  const sign = options.quantity === "pressure" ? -1 : 1;
  const points = options.points.map((speed, i) => pointEffect(speed, byPoint[i] ?? null, reduced, i, sign));
  const { estimate } = pooled;
  const shift =
    estimate === null
      ? null
      : estimate.u * detectableShift(power, estimate.degreesOfFreedom, claimConfidence(confidence));
  return {
    kind: "trial result",
    quantity: options.quantity,
    common,
    runs: reduced.map(({ run, values }) => ({
      id: run.id,
      side: run.side,
      at: run.at - (sorted[0] as TrialRun).at,
      values: values.map((value) => (Number.isNaN(value) ? null : sign * value)),
    })),
    pooled: { effect: pooled.value, estimate, before: sign * pooled.level },
    pooledPoints: pooled.points,
    points,
    drift: pooled.drift,
    runSd: pooled.runSd,
    doubt: pooled.doubt,
    claim: claimOf(estimate),
    detectable: shift,
    power,
    orderCost: pooled.orderCost,
    needed: neededRuns(options, pooled, model, power),
    flags: flagsOf(sorted, reduced, pooled, options),
  };
}

/**
 * Confidence [1] at which a difference is claimed: a little over that of the intervals (96 % for 95 %), so that trials
 * without a difference claim one in at most 5 of 100 in spite of what is approximate in them.
 */
export const claimConfidence = (confidence: number): number => 1 - 0.8 * (1 - confidence);

function claimOf(estimate: RunEffect["estimate"]): TrialResult["claim"] {
  if (estimate === null) return "none";
  const half = quantile(claimConfidence(estimate.confidence), estimate.degreesOfFreedom) * estimate.u;
  return estimate.value > half ? "rise" : estimate.value < -half ? "fall" : "none";
}

function pointEffect(
  speed: RotationalSpeed,
  effect: RunEffect | null,
  reduced: readonly ReducedRun[],
  i: number,
  sign: number,
): PointEffect {
  const covering = reduced.filter((one) => !Number.isNaN(one.values[i] as number));
  const before = covering.filter((one) => one.run.side === "before").length;
  return {
    speed,
    before: effect === null ? null : sign * effect.level,
    effect: effect === null ? null : effect.value,
    estimate: effect?.estimate ?? null,
    runs: { before, after: covering.length - before },
  };
}

function windowOf(options: TrialOptions): number {
  if (options.window !== undefined)
    return requireNumber(options.window, "window", "rev/s", { over: 0, to: 100 });
  const gaps = options.points.slice(1).map((point, i) => point - (options.points[i] as number));
  if (gaps.length === 0) {
    throw new BellmouthError({
      code: "E_SHAPE",
      message: "with one point the window of the local regression must be said",
      found: "no window",
      accepted: "window, for example rpm(300)",
      at: { path: "window" },
    });
  }
  return Math.min(...gaps);
}

/** Mean barometer, temperature and humidity of the runs: corrections are then as small as they can be. */
function meanAir(runs: readonly TrialRun[]): MoistAir {
  const mean = (of: (air: MoistAir) => number): number =>
    runs.reduce((sum, run) => sum + of(run.air), 0) / runs.length;
  return {
    pressure: pascals(mean((air) => air.pressure)),
    temperature: kelvins(mean((air) => air.temperature)),
    relativeHumidity: mean((air) => air.relativeHumidity),
  };
}

function neededRuns(
  options: TrialOptions,
  pooled: RunEffect,
  model: EffectOptions,
  power: number,
): TrialResult["needed"] {
  if (options.wanted === undefined) return null;
  const wanted = requireNumber(options.wanted, "wanted", "Pa or K", { over: 0 });
  if (pooled.runSd === null || !(pooled.runSd > 0)) return { wanted, perSide: null, order: [] };
  const needed = runsNeeded(wanted, pooled.runSd, {
    power,
    confidence: model.confidence,
    drift: model.drift,
  });
  return { wanted, perSide: needed?.perSide ?? null, order: needed?.order ?? [] };
}

function flagsOf(
  runs: readonly TrialRun[],
  reduced: readonly ReducedRun[],
  pooled: ReturnType<typeof pooledEffect>,
  options: TrialOptions,
): TrialFlag[] {
  const times = runs.map((run) => run.at as number);
  const densities = runs.map((run) => airDensity(run.air) as number);
  const courses = new Set(runs.map((run) => run.course ?? ""));
  const flag = (is: boolean, name: TrialFlag): TrialFlag[] => (is ? [name] : []);
  return [
    ...flag(runs.length === 2, "single pair"),
    ...flag(pooled.orderCost > COSTLY_ORDER, "order costs"),
    ...flag(pooled.doubt === "stated", "stated repeatability"),
    ...flag(pooled.estimate === null, "no interval"),
    ...flag(Math.max(...times) - Math.min(...times) > HOUR, "over an hour"),
    ...flag(courses.size > 1, "courses differ"),
    ...flag(
      options.quantity === "pressure" && Math.max(...densities) / Math.min(...densities) > 1 + AIR_DIFFERS,
      "air differs",
    ),
    ...flag(pooled.points.length < options.points.length, "points left out"),
    ...flag(
      reduced.some((one) => pooled.points.some((i) => Number.isNaN(one.values[i] as number))),
      "samples missing",
    ),
  ];
}

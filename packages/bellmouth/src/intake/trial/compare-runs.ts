import { airDensity, type MoistAir } from "../../air/index.js";
import { BellmouthError, requireNumber } from "../../fault/index.js";
import { kelvins, pascals, type RotationalSpeed } from "../../units/index.js";
import { stepOf } from "../reading-step.js";
import { detectableShift } from "./power-of-trial.js";
import { type ReducedRun, reduceRun } from "./reduce-run.js";
import { requirePoints, requireRuns, type TrialRun } from "./run.js";
import { CONFOUNDED, type EffectOptions, pointEffects, pooledEffect, type RunEffect } from "./run-effect.js";
import { orderCost } from "./run-order.js";
import { requirePower, runsNeeded } from "./runs-needed.js";
import { type SettledRuns, settledRuns } from "./settled.js";
import type { PointEffect, TrialFlag, TrialOptions, TrialResult } from "./trial-result.js";

const HOUR = 3600;
/** Spread of air density over the runs from which the correction itself is worth a word [1]. */
const AIR_DIFFERS = 0.03;

/**
 * Compares runs with an old and a new part, back to back.
 *
 * Each run is reduced to its values at the points (local regression) in common air; the runs, not their samples, are the
 * observations. Model: level at each point + effect + the run's own deviation + a drift and a heat soak of unknown size (see
 * `driftCandidates`) + what the step of the readings does. Claims and intervals use one level of confidence.
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
  const step = readingStep(sorted, options);
  const reduced = sorted.map((run) =>
    reduceRun(run, options.points, {
      quantity: options.quantity,
      window: windowOf(options),
      common,
      step: step.value ?? 0,
      boosted: options.boosted === true,
    }),
  );
  const table = {
    values: reduced.map((one) => one.values),
    after: sorted.map((run) => run.side === "after"),
    time: sorted.map((run) => run.at as number),
    rounding: reduced.map((one) => one.rounding),
    step: step.value ?? 0,
  };
  const settled = settledRuns(sorted);
  const model: EffectOptions = {
    drift: options.drift ?? "unknown",
    settled: settled.all,
    confidence,
    ...(options.soak === undefined ? {} : { soak: options.soak }),
    ...(options.repeatability === undefined ? {} : { repeatability: options.repeatability }),
  };
  // Readings that are all alike and show no step of their own say nothing of their error.
  const judged = <T extends RunEffect>(effect: T): T =>
    step.value === null && effect.source === "runs"
      ? { ...effect, estimate: null, drift: null, runSd: null, source: "unknown" }
      : effect;
  const pooled = judged(pooledEffect(table, model));
  const byPoint = pointEffects(table, model).map((one) => (one === null ? null : judged(one)));
  const claim = claimOf(pooled, sorted, model);
  const sign = options.quantity === "pressure" ? -1 : 1;
  const points = options.points.map((speed, i) => pointEffect(speed, byPoint[i] ?? null, reduced, i, sign));
  const { estimate } = pooled;
  const shift =
    estimate === null ? null : estimate.u * detectableShift(power, estimate.degreesOfFreedom, confidence);
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
    source: pooled.source,
    step: step.value,
    claim,
    detectable: shift,
    power,
    orderCost: orderCost(table),
    needed: neededRuns(options, pooled, model, power),
    unsettled: settled.unsettled,
    flags: flagsOf(sorted, reduced, pooled, { options, model, step, settled, orderCost: orderCost(table) }),
  };
}

/** Whether one side was driven first and the other after it, so that any change with time looks like the effect. */
const oneSideFirst = (runs: readonly TrialRun[]): boolean =>
  runs.filter((run, r) => r > 0 && run.side !== runs[r - 1]?.side).length < 2;

/** Whether a heat soak is bounded by something other than the order of the runs. */
const soakBounded = (model: EffectOptions): boolean =>
  model.soak !== undefined || model.settled === true || model.drift === "none";

/** A difference is claimed where the interval leaves out zero, and the order of the runs lets it be the part's. */
function claimOf(effect: RunEffect, runs: readonly TrialRun[], model: EffectOptions): TrialResult["claim"] {
  const { estimate } = effect;
  if (estimate === null || estimate.from === null || estimate.to === null) return "cannot tell";
  if (oneSideFirst(runs) && !soakBounded(model)) return "cannot tell";
  return estimate.from > 0 ? "rise" : estimate.to < 0 ? "fall" : "none";
}

/** Step of the readings: stated, or found from the values of all runs; null where they are too few or too alike to show one. */
function readingStep(
  runs: readonly TrialRun[],
  { quantity, step }: TrialOptions,
): { readonly value: number | null; readonly found: boolean } {
  if (step !== undefined) return { value: requireNumber(step, "step", "Pa or K", { from: 0 }), found: false };
  // A gauge's own zero: vacuum or the barometer of the run; a thermometer's: 0 degC or 0 degF.
  const zeros: readonly ((run: TrialRun) => number)[] =
    quantity === "pressure"
      ? [() => 0, (run) => run.air.pressure]
      : [() => CELSIUS_ZERO, () => FAHRENHEIT_ZERO];
  const steps = zeros.map((zero) =>
    stepOf(runs.flatMap((run) => (run.samples[quantity] ?? []).map((value) => value - zero(run)))),
  );
  const known = steps.filter((one) => one !== null);
  if (known.length < steps.length) return { value: null, found: false };
  const value = known.reduce((most, one) => Math.max(most, one), 0);
  return { value, found: value > 0 };
}

const CELSIUS_ZERO = 273.15;
const FAHRENHEIT_ZERO = 273.15 - 32 / 1.8;

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
  return gaps.reduce((least, gap) => Math.min(least, gap));
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
  if (pooled.runSd === null || !(pooled.runSd > 0)) return { wanted, perSide: null, order: [], power: null };
  const needed = runsNeeded(wanted, pooled.runSd, {
    power,
    confidence: model.confidence,
    drift: model.drift === "linear" || model.drift === "none" ? model.drift : "unknown",
    ...(options.swaps === undefined ? {} : { swaps: options.swaps }),
    ...(pooled.source === "stated" && options.repeatability?.degreesOfFreedom === undefined
      ? {}
      : { degreesOfFreedom: pooled.estimate?.degreesOfFreedom ?? undefined }),
  });
  return {
    wanted,
    perSide: needed?.perSide ?? null,
    order: needed?.order ?? [],
    power: needed?.power ?? null,
  };
}

interface FlagInputs {
  readonly options: TrialOptions;
  readonly model: EffectOptions;
  readonly step: { readonly value: number | null; readonly found: boolean };
  readonly settled: SettledRuns;
  readonly orderCost: number;
}

function flagsOf(
  runs: readonly TrialRun[],
  reduced: readonly ReducedRun[],
  pooled: ReturnType<typeof pooledEffect>,
  { options, model, step, settled, orderCost: cost }: FlagInputs,
): TrialFlag[] {
  const densities = runs.map((run) => airDensity(run.air) as number);
  const thinnest = densities.reduce((a, b) => Math.min(a, b));
  const thickest = densities.reduce((a, b) => Math.max(a, b));
  const courses = new Set(runs.map((run) => run.course ?? ""));
  const flag = (is: boolean, name: TrialFlag): TrialFlag[] => (is ? [name] : []);
  const last = runs[runs.length - 1] as TrialRun;
  return [
    ...flag(runs.length === 2, "single pair"),
    ...flag(
      oneSideFirst(runs) && !soakBounded(model) && (runs.length > 2 || pooled.estimate !== null),
      "one side first",
    ),
    ...flag(oneSideFirst(runs) && soakBounded(model) && runs.length > 2, "one side first, bounded"),
    ...flag(settled.unsettled.length > 0, "not settled"),
    ...flag(cost > CONFOUNDED, "order costs"),
    ...flag(pooled.source === "stated", "stated repeatability"),
    ...flag(pooled.estimate === null, "no interval"),
    ...flag(step.value === null, "readings alike"),
    ...flag(
      step.found &&
        pooled.estimate !== null &&
        !(pooled.runSd !== null && pooled.runSd > (step.value as number)),
      "step found",
    ),
    ...flag(last.at - (runs[0] as TrialRun).at > HOUR, "over an hour"),
    ...flag(courses.size > 1, "courses differ"),
    ...flag(options.quantity === "pressure" && options.boosted === true, "boosted"),
    ...flag(options.quantity === "pressure" && thickest / thinnest > 1 + AIR_DIFFERS, "air differs"),
    ...flag(pooled.points.length < options.points.length, "points left out"),
    ...flag(
      reduced.some((one) => pooled.points.some((i) => Number.isNaN(one.values[i] as number))),
      "samples missing",
    ),
  ];
}

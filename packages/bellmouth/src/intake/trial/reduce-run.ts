import { airDensity, type MoistAir } from "../../air/index.js";
import { BellmouthError } from "../../fault/index.js";
import type { RotationalSpeed } from "../../units/index.js";
import { harmonicDamping, roundingHarmonics } from "../reading-step.js";
import { type LocalValue, localValue } from "./local-regression.js";
import type { TrialQuantity, TrialRun } from "./run.js";

/** Values of one run at the points of the trial; NaN where the run does not cover a point. */
export interface ReducedRun {
  readonly run: TrialRun;
  /** "pressure": manifold less outside pressure in common air [Pa], below zero. "temperature": intake over outside air [K]. */
  readonly values: readonly number[];
  /** samples behind each value [1] */
  readonly samples: readonly number[];
  /** variance [Pa^2] or [K^2] that each harmonic of the readings' rounding has in each value; empty without a step */
  readonly rounding: readonly (readonly number[])[];
}

/** Share of the outside pressure beyond which a drop at full throttle is a mistake, not a restriction [1]. */
const MOST_DROP = 0.5;
const LEAST_DROP = -0.01;
/** Relative distance within which a typed speed is the point [1]. */
const SAME_SPEED = 0.005;

/**
 * Brings one run to its values at the points.
 *
 * Pressure is brought to common air: at one engine speed the engine draws one volume flow V, every loss is dp = (K/2A^2)
 * rho V^2, so the drop follows the density of the outside air and is multiplied by rho_common/rho_run.
 *
 * @param run    a checked run
 * @param points engine speeds [rev/s]
 * @param options quantity, half-width of the window [rev/s], common air
 * @throws `E_DOMAIN` when a value can only be a gauge reading, a wrong barometer or a closed throttle; `E_TOO_LITTLE_DATA`
 *   when the run covers none of the points
 */
export function reduceRun(
  run: TrialRun,
  points: readonly RotationalSpeed[],
  options: {
    readonly quantity: TrialQuantity;
    readonly window: number;
    readonly common: MoistAir;
    /** step of the readings [Pa] or [K]; 0 for none */
    readonly step: number;
    readonly boosted?: boolean;
  },
): ReducedRun {
  const { quantity, window, common, step } = options;
  const column = run.samples[quantity] as readonly number[];
  const found = points.map((point) =>
    run.form === "points"
      ? typedValue(run.samples.speed, column, point)
      : localValue(run.samples.speed, column, point, window),
  );
  if (found.every((one) => Number.isNaN(one.value))) {
    let [slowest, fastest] = [Number.POSITIVE_INFINITY, 0];
    for (const speed of run.samples.speed) {
      if (speed < slowest) slowest = speed;
      if (speed > fastest) fastest = speed;
    }
    throw new BellmouthError({
      code: "E_TOO_LITTLE_DATA",
      message: `run "${run.id}" does not cover any of the trial's points`,
      found: `${Math.round(60 * slowest)} to ${Math.round(60 * fastest)} rpm`,
      accepted: `samples on both sides of ${points.map((point) => Math.round(60 * point)).join(", ")} rpm`,
      at: { path: `runs.${run.id}.samples.speed` },
    });
  }
  const density = options.boosted === true ? 1 : airDensity(common) / airDensity(run.air);
  const values = found.map(({ value }, i) => {
    if (Number.isNaN(value)) return value;
    if (quantity === "temperature") return value - run.air.temperature;
    if (options.boosted !== true) requireDrop(run.air.pressure - value, run, points[i] as number);
    return (value - run.air.pressure) * density;
  });
  const scale = quantity === "pressure" ? density * density : 1;
  const rounding = found.map((one, i) => {
    if (!(step > 0) || Number.isNaN(one.value)) return [];
    const own =
      run.form === "points"
        ? roundingHarmonics(step)
        : loggedRounding(run.samples.speed, column, { at: points[i] as number, window, step }, one);
    return own.map((variance) => scale * variance);
  });
  return { run, values, samples: found.map((one) => one.n), rounding };
}

/**
 * Variance that each harmonic of the samples' rounding leaves in a value found by local regression: the same weights on
 * the sawtooth of the fitted curve, at an unknown phase. A curve that crosses several steps within the window averages
 * them out, a flat one does not.
 */
function loggedRounding(
  speeds: readonly number[],
  values: readonly number[],
  { at, window, step }: { readonly at: number; readonly window: number; readonly step: number },
  fit: LocalValue,
): number[] {
  const near = speeds.flatMap((speed, i) =>
    Math.abs(speed - at) < window && !Number.isNaN(values[i] as number) ? [i] : [],
  );
  const x = near.map((i) => speeds[i] as number);
  const curve = x.map((speed) => {
    const z = (speed - at) / window;
    return fit.value + fit.slope * z + fit.bend * z * z;
  });
  const squares = near.reduce((sum, i, k) => sum + ((values[i] as number) - (curve[k] as number)) ** 2, 0);
  const noise = Math.sqrt(Math.max(0, squares / near.length - (step * step) / 12));
  return roundingHarmonics(step).map((variance, h) => {
    const phase = curve.map((value) => (2 * Math.PI * (h + 1) * value) / step);
    const real = localValue(x, phase.map(Math.cos), at, window).value;
    const imaginary = localValue(x, phase.map(Math.sin), at, window).value;
    return variance * (real * real + imaginary * imaginary) * harmonicDamping(h + 1, noise, step);
  });
}

function typedValue(speeds: readonly number[], values: readonly number[], point: number): LocalValue {
  const same = values.filter(
    (value, i) => !Number.isNaN(value) && Math.abs((speeds[i] as number) - point) <= SAME_SPEED * point,
  );
  const mean = same.reduce((sum, value) => sum + value, 0) / same.length;
  return { value: same.length === 0 ? Number.NaN : mean, n: same.length, slope: 0, bend: 0 };
}

function requireDrop(drop: number, run: TrialRun, point: number): void {
  if (drop > LEAST_DROP * run.air.pressure && drop < MOST_DROP * run.air.pressure) return;
  const above = drop <= 0;
  throw new BellmouthError({
    code: "E_DOMAIN",
    message: above
      ? "the manifold is above the barometer: a barometer of another place or unit, or a boosted engine, which says so " +
        "('boosted'), or is compared by the pressure before its compressor"
      : "the manifold is at half of the outside pressure or less: a gauge reading given as absolute, a closed throttle, or " +
        "mixed units",
    found: `${Math.round(run.air.pressure - drop)} Pa under a barometer of ${Math.round(run.air.pressure)} Pa at ${Math.round(60 * point)} rpm in "${run.id}"`,
    accepted: "absolute pressures at full throttle, a little below the barometer",
    at: { path: `runs.${run.id}` },
  });
}

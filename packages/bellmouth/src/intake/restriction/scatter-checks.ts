import { BellmouthError } from "../../fault/index.js";
import { chiSquaredQuantile, fQuantile } from "../../fit/index.js";
import type { RestrictionOptions } from "./restriction-budget.js";
import type { Tract, TractPoint } from "./tract.js";
import type { TractFit } from "./tract-fit.js";

/** Probability of a false alarm, over all stations [1]. Low, for a flag that changes what a person does. */
const FALSE_ALARM = 0.01;

const sumOf = (values: readonly number[]): number => values.reduce((sum, value) => sum + value, 0);

/**
 * Whether whole pulls lie high or low together: one-way analysis of variance of the residuals by pull, at every station
 * that two or more pulls have read.
 */
export function pullsDiffer(fit: TractFit, points: readonly TractPoint[]): boolean {
  if (!fit.estimated) return false;
  return fit.fit.series.some((series) => {
    const kept = points.flatMap((point, k) =>
      series.measured[k] ? [{ pull: point.pull, residual: series.residuals[k] as number }] : [],
    );
    const pulls = [...new Set(kept.map((one) => one.pull))];
    const within = kept.length - pulls.length - fit.columns;
    if (pulls.length < 2 || within < 1) return false;
    const groups = pulls.map((pull) => kept.filter((one) => one.pull === pull).map((one) => one.residual));
    const means = groups.map((group) => sumOf(group) / group.length);
    const between = sumOf(groups.map((group, i) => group.length * (means[i] as number) ** 2));
    const left = sumOf(
      groups.map((group, i) => sumOf(group.map((value) => (value - (means[i] as number)) ** 2))),
    );
    if (!(left > 0)) return false;
    const ratio = between / (pulls.length - 1) / (left / within);
    return ratio > fQuantile(1 - FALSE_ALARM / fit.fit.series.length, pulls.length - 1, within);
  });
}

/** Whether the readings scatter by more than the stated uncertainty of a reading lets chance explain. */
export function scatterAboveStated(fit: TractFit): boolean {
  if (fit.estimated) return false;
  return fit.fit.series.some((series, s) => {
    const stated = fit.covariance[s]?.[s] as number;
    const freedom = series.measured.filter(Boolean).length - fit.columns;
    if (freedom < 1 || !(stated > 0)) return false;
    const chi = sumOf(series.residuals.map((residual) => residual * residual)) / stated;
    return chi > chiSquaredQuantile(1 - FALSE_ALARM / fit.fit.series.length, freedom);
  });
}

/** Standard errors below zero from which a mean reading is not noise [1]. */
const REVERSED = 3;

/**
 * Refuses a station that lies above the outside air on the mean, by more than its scatter and a gauge's zero explain: no
 * passive tract does that, so its sign is reversed or its readings are gauge pressures.
 *
 * @throws `E_DOMAIN`
 */
export function requireSigns(
  fit: TractFit,
  tract: Tract,
  points: readonly TractPoint[],
  options: RestrictionOptions,
): void {
  const zero = (options.gauges ?? []).reduce((most, gauge) => Math.max(most, gauge.zero), 0);
  tract.elements.forEach(({ name }, s) => {
    const read = points.map(({ drops }) => drops[s] as number).filter((drop) => !Number.isNaN(drop));
    if (read.length === 0) return;
    const mean = sumOf(read) / read.length;
    const spread = Math.sqrt(sumOf(read.map((drop) => (drop - mean) ** 2)) / Math.max(1, read.length - 1));
    // Scatter about the law where it was estimated; the whole spread of the readings where it was not.
    const scatter = fit.estimated ? Math.sqrt(Math.max(0, fit.covariance[s]?.[s] ?? 0)) : spread;
    const error = Math.hypot(scatter / Math.sqrt(read.length), zero, (options.resolution ?? 0) / 2);
    if (!(mean < -REVERSED * error)) return;
    throw new BellmouthError({
      code: "E_DOMAIN",
      message: `the pressure after "${name}" lies above the outside air: its sign is reversed, or the readings are gauge pressures, which are below zero in a tract`,
      found: `${mean.toFixed(0)} Pa below outside on the mean`,
      accepted: "drops below outside, above zero; or gauge pressures that are said to be so",
      at: { path: `elements.${name}` },
    });
  });
}

import { chiSquaredQuantile, fQuantile } from "../../fit/index.js";
import type { TractPoint } from "./tract.js";
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

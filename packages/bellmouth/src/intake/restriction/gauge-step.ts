import { roundingCorrelation } from "../reading-step.js";
import type { LinkedFit, LinkedSeries } from "./linked-regressions.js";

/** Two readings of one station that a gauge's step rounded alike, or against each other. */
export interface SharedRounding {
  readonly series: number;
  readonly occasions: readonly [number, number];
  /** covariance of their rounding errors [Pa^2] */
  readonly covariance: number;
}

/**
 * Pairs of readings of a station whose fitted values are within one step of each other.
 *
 * @param fit    fit of the readings, each series one station
 * @param series the readings [Pa]
 * @param stepOf step of the readings of each station [Pa], > 0
 */
export function sharedRounding(
  fit: LinkedFit,
  series: readonly LinkedSeries[],
  stepOf: (station: number) => number,
): SharedRounding[] {
  const shared: SharedRounding[] = [];
  fit.series.forEach((one, s) => {
    const step = stepOf(s);
    const variance = (step * step) / 12;
    const spread = fit.covariance?.[s]?.[s] ?? 0;
    const noise = Math.sqrt(Math.max(0, spread - variance)) / step;
    const fitted = one.measured.map((is, k) =>
      is
        ? (series[s]?.y[k] as number) - (one.residuals[k] as number) * (fit.scatter[k] as number)
        : Number.NaN,
    );
    for (let k = 0; k < fitted.length; k++) {
      for (let l = k + 1; l < fitted.length; l++) {
        const apart = Math.abs((fitted[k] as number) - (fitted[l] as number)) / step;
        if (!(apart < 1)) continue;
        const covariance = variance * roundingCorrelation(apart, noise);
        if (Math.abs(covariance) > 1e-3 * variance) shared.push({ series: s, occasions: [k, l], covariance });
      }
    }
  });
  return shared;
}

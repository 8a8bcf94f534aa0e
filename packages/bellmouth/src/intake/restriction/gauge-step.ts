import type { LinkedFit, LinkedSeries } from "./linked-regressions.js";

/** Two readings of one station that a gauge's step rounded alike, or against each other. */
export interface SharedRounding {
  readonly series: number;
  readonly occasions: readonly [number, number];
  /** covariance of their rounding errors [Pa^2] */
  readonly covariance: number;
}

/** Harmonics of the sawtooth kept; the next one adds under 2 % and the first noise erases it. */
const HARMONICS = 6;

/**
 * What the rounding of two readings has in common.
 *
 * Rounding error is a sawtooth of the true value: readings of nearly the same pressure are rounded alike, and repeating
 * them teaches nothing; noise larger than the step makes the errors independent again. The scatter of the readings
 * counts every rounding as a fresh draw, so this is what is to be added to it.
 *
 * @param apart difference of the true values over the step [1]
 * @param noise standard deviation of one reading before rounding, over the step [1]
 * @returns correlation [1], 1 for the same pressure without noise
 * @source Fourier series of the second Bernoulli polynomial, each harmonic damped by normal noise; B. Widrow and
 *   I. Kollar, Quantization Noise (2008), chapter 4
 */
export function roundingCorrelation(apart: number, noise: number): number {
  let total = 0;
  let weights = 0;
  for (let h = 1; h <= HARMONICS; h++) {
    weights += 1 / (h * h);
    total += (Math.cos(2 * Math.PI * h * apart) * Math.exp(-((2 * Math.PI * h * noise) ** 2))) / (h * h);
  }
  return total / weights;
}

/**
 * Pairs of readings of a station whose fitted values are within one step of each other.
 *
 * @param fit    fit of the readings, each series one station
 * @param series the readings [Pa]
 * @param step   step of the gauge [Pa], > 0
 */
export function sharedRounding(
  fit: LinkedFit,
  series: readonly LinkedSeries[],
  step: number,
): SharedRounding[] {
  const variance = (step * step) / 12;
  const shared: SharedRounding[] = [];
  fit.series.forEach((one, s) => {
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

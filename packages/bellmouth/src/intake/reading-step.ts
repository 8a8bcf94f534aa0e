/**
 * What a gauge's or a log's step does to readings. Rounding error is a sawtooth of the true value: readings of one
 * pressure are rounded alike, so repeating them teaches nothing; noise larger than the step makes the errors
 * independent again.
 *
 * @source Fourier series of the sawtooth, each harmonic damped by normal noise; B. Widrow and I. Kollar, Quantization
 *   Noise (2008), chapter 4
 */

/** Harmonics of the sawtooth kept; the next one adds under 2 % and the first noise erases it. */
const HARMONICS = 6;

/** Variance [unit^2] that each harmonic of the rounding error of one reading has; they sum to step^2/12. */
export function roundingHarmonics(step: number): number[] {
  const weights = Array.from({ length: HARMONICS }, (_, i) => 1 / (i + 1) ** 2);
  const whole = weights.reduce((sum, weight) => sum + weight, 0);
  return weights.map((weight) => ((step * step) / 12) * (weight / whole));
}

/** What remains common to two readings of one value with independent noise: the share of harmonic h [1]. */
export const harmonicDamping = (h: number, noise: number, step: number): number =>
  Math.exp(-(((2 * Math.PI * h * noise) / step) ** 2));

/**
 * Correlation of the rounding errors of two readings [1]: 1 for the same value without noise.
 *
 * @param apart difference of the true values over the step [1]
 * @param noise standard deviation of one reading before rounding, over the step [1]
 */
export function roundingCorrelation(apart: number, noise: number): number {
  const harmonics = roundingHarmonics(1);
  return harmonics.reduce(
    (sum, variance, i) =>
      sum + 12 * variance * Math.cos(2 * Math.PI * (i + 1) * apart) * harmonicDamping(i + 1, noise, 1),
    0,
  );
}

/** Share of a step within which a value counts as a multiple of it [1]. */
const TOLERANCE = 1e-4;
/** Different values from which a step found from readings is believed. */
const ENOUGH = 2;

/**
 * Step that readings are multiples of, in their unit; null when they are too few or alike to show one, 0 when they
 * have none worth a word.
 *
 * @param values readings as they were read, from the gauge's own zero; NaN is skipped
 */
export function stepOf(values: readonly number[]): number | null {
  const different = [
    ...new Set(values.filter((value) => Number.isFinite(value) && value !== 0).map(Math.abs)),
  ];
  if (different.length < ENOUGH) return null;
  const most = different.reduce((a, b) => Math.max(a, b), 0);
  // Under a hundred-thousandth of the readings the last digits of the arithmetic would be taken for a step.
  const least = 1e-6 * most;
  let step = different[0] as number;
  for (const value of different) {
    let [a, b] = [Math.max(step, value), Math.min(step, value)];
    while (b > least) {
      const left = a - b * Math.round(a / b);
      [a, b] = [b, Math.abs(left) < TOLERANCE * b ? 0 : Math.abs(left)];
    }
    step = a;
    if (step < 10 * least) return 0;
  }
  return step;
}

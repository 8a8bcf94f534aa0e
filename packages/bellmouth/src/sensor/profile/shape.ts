/**
 * Mean over centre velocity [1] of the power-law profile u = u_centre (1 - r)^(1/n): 2n^2/((n+1)(2n+1)).
 *
 * @param n [1] > 0
 * @source H. Schlichting, Boundary-Layer Theory, 7th ed., ch. 20.
 * @example powerLawRatio(7) // ≈ 0.816667
 */
export const powerLawRatio = (n: number): number => (2 * n * n) / ((n + 1) * (2 * n + 1));

/**
 * Exponent n [1] of the power-law profile whose mean over centre velocity is `ratio`; the inverse of `powerLawRatio`.
 *
 * @param ratio [1], 0 < ratio < 1
 * @example powerLawExponent(0.816667) // ≈ 7.0000
 */
export const powerLawExponent = (ratio: number): number =>
  (3 * ratio + Math.sqrt(ratio * (ratio + 8))) / (4 * (1 - ratio));

// A span is averaged along the radius, not over the ring it would sweep: an element is a strip, or a slot that leads
// to one, that stands across the flow.

/** Laminar local over mean velocity [1], 2(1 - r^2), averaged along the radius from..to. */
export const laminarFactor = (from: number, to: number): number =>
  2 * (1 - (from * from + from * to + to * to) / 3);

/** Turbulent local over mean velocity [1] of a profile with that mean-to-centre `ratio`, averaged along from..to. */
export function turbulentFactor(from: number, to: number, ratio: number): number {
  if (to === 0) return 1 / ratio;
  const p = 1 / powerLawExponent(ratio);
  if (to - from < 1e-6) return (1 - (from + to) / 2) ** p / ratio;
  return ((1 - from) ** (p + 1) - (1 - to) ** (p + 1)) / ((p + 1) * (to - from) * ratio);
}

/** Two numbers found from the same data, with their covariance. */
export interface NumberPair {
  readonly above: number;
  readonly below: number;
  /** variance of `above` */
  readonly varianceAbove: number;
  /** variance of `below` */
  readonly varianceBelow: number;
  readonly covariance: number;
}

/**
 * Interval of the ratio of two normal quantities whose errors belong together: every ratio r for which
 * `above - r * below` is within t standard errors of zero. Exact where the delta method is only near, and it says so
 * when the data cannot bound the ratio: an end is then null.
 *
 * @param pair numbers, variances and covariance in one unit (and its square)
 * @param t    quantile of Student's t or the normal distribution, > 0 [1]
 * @returns ends [1]; `from` <= `to`; both null when below is not distinguishable from zero in a way that bounds nothing
 * @source E. C. Fieller, "Some problems in interval estimation", J. R. Stat. Soc. B 16 (1954) 175
 * @example
 * ratioInterval({ above: 1, below: 2, varianceAbove: 0.01, varianceBelow: 0, covariance: 0 }, 2).to // ≈ 0.6
 */
export function ratioInterval(
  pair: NumberPair,
  t: number,
): { readonly from: number | null; readonly to: number | null } {
  const { above, below, varianceAbove, varianceBelow, covariance } = pair;
  // Quadratic in r: a r^2 - 2 b r + c <= 0
  const a = below * below - t * t * varianceBelow;
  const b = above * below - t * t * covariance;
  const c = above * above - t * t * varianceAbove;
  if (!(a > 0)) return { from: null, to: null };
  const root = Math.sqrt(Math.max(0, b * b - a * c));
  return { from: (b - root) / a, to: (b + root) / a };
}

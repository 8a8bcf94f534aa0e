import { choleskyFactor, choleskySolve } from "./cholesky.js";

/** Time near a knot from which it counts as driven [s], and how far "near" reaches in ln flow [1]. */
export const leastDriven = 0.5;
const near = 0.06;

/** Time near each knot, within reach of it [s]. */
export function drivenNear(seconds: Float64Array, x: Float64Array): Float64Array {
  return Float64Array.from(x, (at) => {
    let sum = 0;
    for (let k = 0; k < x.length; k++) if (Math.abs(x[k]! - at) <= near) sum += seconds[k]!;
    return sum;
  });
}

/**
 * The edge rule: places that were not driven are conditioned on those that were by the unscaled prior with a short reach. What was learnt
 * about scales where one drove says nothing about where one did not. Only variances are raised, in place; means are moved.
 *
 * @param mean       ln(true/prior mean) [1]
 * @param covariance row-major [1]
 * @param prior      the unscaled prior with its short reach, row-major [1]
 */
export function holdEdges(
  mean: Float64Array,
  covariance: Float64Array,
  prior: Float64Array,
  driven: readonly boolean[],
): void {
  const n = mean.length;
  const d = driven.flatMap((yes, k) => (yes ? [k] : []));
  const m = d.length;
  if (m === 0 || m === n) return;
  const K = new Float64Array(m * m);
  for (let r = 0; r < m; r++) {
    for (let c = 0; c < m; c++) K[r * m + c] = prior[d[r]! * n + d[c]!]!;
    K[r * m + r] = K[r * m + r]! * (1 + 1e-6);
  }
  const factor = choleskyFactor(K, m);
  if (factor === null) return;
  driven.forEach((yes, u) => {
    if (yes) return;
    const row = Float64Array.from(d, (k) => prior[u * n + k]!);
    const G = choleskySolve(factor, m, row);
    let moved = 0;
    let variance = prior[u * n + u]!;
    for (let r = 0; r < m; r++) {
      moved += G[r]! * mean[d[r]!]!;
      variance -= G[r]! * row[r]!;
      for (let c = 0; c < m; c++) variance += G[r]! * covariance[d[r]! * n + d[c]!]! * G[c]!;
    }
    mean[u] = moved;
    covariance[u * n + u] = Math.max(covariance[u * n + u]!, variance);
  });
}

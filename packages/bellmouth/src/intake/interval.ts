import { normalQuantile, studentTQuantile } from "../fit/index.js";
import type { Estimate } from "./estimate.js";

/**
 * Two-sided quantile: Student's t, or the normal one where the spread is known [1].
 *
 * @param confidence probability inside, 0 < confidence < 1 [1]
 * @param degreesOfFreedom > 0 [1]; null when the spread is known
 */
export function quantile(confidence: number, degreesOfFreedom: number | null): number {
  const p = (1 + confidence) / 2;
  // Below a fifth of a degree the quantile passes 1e6 and says no more than that nothing is known.
  return degreesOfFreedom === null ? normalQuantile(p) : studentTQuantile(p, Math.max(0.2, degreesOfFreedom));
}

/** An estimate with a symmetric interval, all in one unit. */
export function interval(
  value: number,
  u: number,
  degreesOfFreedom: number | null,
  confidence: number,
): Estimate {
  const half = quantile(confidence, degreesOfFreedom) * u;
  return { value, u, from: value - half, to: value + half, degreesOfFreedom, confidence };
}

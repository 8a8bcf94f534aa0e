import { BellmouthError, requireNumber } from "../../fault/index.js";
import { logGamma, normalCdf } from "../../fit/index.js";
import { quantile } from "../interval.js";

/** Panels of the integral over the estimated spread; its error is then below 1e-7. */
const PANELS = 240;

/**
 * Probability [1] that a trial claims a difference when there is one of `shift` standard errors: the two-sided t test
 * against the noncentral t distribution.
 *
 * @param shift true difference over its standard error [1]
 * @param degreesOfFreedom >= 1 [1]; null when the spread is known
 * @param confidence of the interval [1], 0.95 for the usual test
 * @throws `E_DOMAIN`
 * @source N. L. Johnson, B. L. Welch, "Applications of the non-central t-distribution", Biometrika 31 (1940) 362
 * @example
 * powerOfTrial(0, 6, 0.95) // ≈ 0.05
 */
export function powerOfTrial(shift: number, degreesOfFreedom: number | null, confidence: number): number {
  requireNumber(shift, "shift", "1");
  requireNumber(confidence, "confidence", "1", { from: 0.5, under: 1 });
  const critical = quantile(confidence, degreesOfFreedom);
  const beyond = (s: number): number => normalCdf(shift - critical * s) + normalCdf(-shift - critical * s);
  if (degreesOfFreedom === null) return beyond(1);
  const nu = requireNumber(degreesOfFreedom, "degreesOfFreedom", "1", { from: 0.5 });
  // s is the estimated over the true spread: s^2 is chi-squared over its degrees of freedom.
  const scale = Math.LN2 + (nu / 2) * Math.log(nu / 2) - logGamma(nu / 2);
  const density = (s: number): number =>
    s === 0 ? (nu === 1 ? Math.exp(scale) : 0) : Math.exp(scale + (nu - 1) * Math.log(s) - (nu * s * s) / 2);
  const high = 1 + 9 / Math.sqrt(nu);
  const low = Math.max(0, 1 - 9 / Math.sqrt(2 * nu));
  // With few degrees of freedom the critical value is large and all happens near s = 0: points crowd there as squares.
  let total = 0;
  for (let i = 0; i <= PANELS; i++) {
    const x = i / PANELS;
    const s = low + (high - low) * x * x;
    const weight = i === 0 || i === PANELS ? 1 : i % 2 === 1 ? 4 : 2;
    total += weight * density(s) * beyond(s) * 2 * (high - low) * x;
  }
  return Math.min(1, total / (3 * PANELS));
}

/**
 * Smallest true difference over its standard error [1] that a trial claims with the wanted probability.
 *
 * @param power wanted probability [1], over 1 - confidence
 * @param degreesOfFreedom >= 1 [1]; null when the spread is known
 * @throws `E_DOMAIN`; `E_NOT_CONVERGED` when no difference reaches the wanted power
 * @example
 * detectableShift(0.8, null, 0.95) // ≈ 2.8016
 */
export function detectableShift(power: number, degreesOfFreedom: number | null, confidence: number): number {
  requireNumber(power, "power", "1", { over: 1 - confidence, under: 1 });
  let low = 0;
  let high = 4;
  while (powerOfTrial(high, degreesOfFreedom, confidence) < power) {
    low = high;
    high *= 2;
    if (!(high < 1e9)) {
      throw new BellmouthError({
        code: "E_NOT_CONVERGED",
        message: "no difference reaches the wanted power",
        found: `${power}`,
        accepted: "a power below 1",
        at: { path: "power" },
      });
    }
  }
  for (let i = 0; i < 60 && high - low > 1e-7 * high; i++) {
    const middle = (low + high) / 2;
    if (powerOfTrial(middle, degreesOfFreedom, confidence) < power) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
}

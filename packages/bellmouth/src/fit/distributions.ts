import { requireNumber } from "../fault/index.js";
import { erfc, incompleteBeta, incompleteGamma } from "./special-functions.js";

/**
 * Probability that a standard normal variable is at most z.
 *
 * @param z [1]
 * @returns probability, 0 to 1; full relative precision in the lower tail [1]
 * @throws `E_DOMAIN`
 * @example
 * normalCdf(1.959963984540054) // ≈ 0.975000000000
 */
export const normalCdf = (z: number): number => 0.5 * erfc(-z / Math.SQRT2);

/**
 * The number that a standard normal variable exceeds with probability 1 - p.
 *
 * @param p probability, 0 < p < 1 [1]
 * @returns z [1]
 * @throws `E_DOMAIN`
 * @example
 * normalQuantile(0.975) // ≈ 1.95996398454
 */
export function normalQuantile(p: number): number {
  requireNumber(p, "p", "1", { over: 0, under: 1 });
  if (p > 0.5) return -normalQuantile(1 - p);
  if (p === 0.5) return 0;
  // Start from the leading term of the tail; Newton's step on log probability then cannot overshoot the root
  // (log of the normal distribution function is concave).
  let z = -Math.sqrt(-2 * Math.log(2 * p));
  for (let i = 0; i < 60; i++) {
    const cdf = normalCdf(z);
    const density = Math.exp(-0.5 * z * z) / Math.sqrt(2 * Math.PI);
    const step = ((Math.log(cdf) - Math.log(p)) * cdf) / density;
    z -= step;
    if (Math.abs(step) <= 1e-15 * Math.max(1, Math.abs(z))) break;
  }
  return z;
}

/**
 * Probability that a Student-t variable is at most t.
 *
 * @param t [1]
 * @param degrees degrees of freedom, > 0, whole or not [1]
 * @returns probability, 0 to 1 [1]
 * @throws `E_DOMAIN`
 */
export function studentTCdf(t: number, degrees: number): number {
  requireNumber(t, "t", "1");
  requireNumber(degrees, "degrees", "1", { over: 0 });
  // The tail form loses the digits of a small t, the middle form those of a small tail.
  const square = t * t;
  if (square < Math.min(1, degrees)) {
    const half = 0.5 * incompleteBeta(square / (degrees + square), 0.5, degrees / 2);
    return t < 0 ? 0.5 - half : 0.5 + half;
  }
  const tail = 0.5 * incompleteBeta(degrees / (degrees + square), degrees / 2, 0.5);
  return t < 0 ? tail : 1 - tail;
}

/**
 * Root of an increasing distribution function, bracketed and then halved and secant-stepped until the bracket
 * cannot shrink. It is slower than a fitted approximation and cannot be wrong by more than the function itself.
 */
function invertCdf(cdf: (x: number) => number, p: number, low: number, high: number): number {
  let a = low;
  let b = high;
  while (cdf(b) < p) {
    a = b;
    b *= 2;
  }
  let fa = cdf(a) - p;
  let fb = cdf(b) - p;
  let side = 0;
  for (let i = 0; i < 400 && b - a > 2e-16 * Math.max(Math.abs(a), Math.abs(b)); i++) {
    // Illinois variant of false position, with halving whenever the secant does not shrink the bracket well.
    let x = i % 4 === 3 ? 0.5 * (a + b) : (a * fb - b * fa) / (fb - fa);
    if (!(x > a && x < b)) x = 0.5 * (a + b);
    if (x === a || x === b) break;
    const f = cdf(x) - p;
    if (f === 0) return x;
    if (f < 0) {
      a = x;
      fa = f;
      if (side === -1) fb /= 2;
      side = -1;
    } else {
      b = x;
      fb = f;
      if (side === 1) fa /= 2;
      side = 1;
    }
  }
  return 0.5 * (a + b);
}

/**
 * The number that a Student-t variable exceeds with probability 1 - p. For a two-sided 95 % interval use p = 0.975.
 *
 * @param p probability, 0 < p < 1 [1]
 * @param degrees degrees of freedom, > 0, whole or not [1]
 * @returns t [1]
 * @throws `E_DOMAIN`
 * @example
 * studentTQuantile(0.975, 4) // ≈ 2.7764451052
 */
export function studentTQuantile(p: number, degrees: number): number {
  requireNumber(p, "p", "1", { over: 0, under: 1 });
  requireNumber(degrees, "degrees", "1", { over: 0 });
  if (p > 0.5) return -studentTQuantile(1 - p, degrees);
  if (p === 0.5) return 0;
  // Solve for the tail beyond t > 0: 1 - p would lose the digits of a small p.
  return -invertCdf((t) => -studentTCdf(-t, degrees), -p, 0, 1);
}

/**
 * The number that a chi-squared variable exceeds with probability 1 - p.
 *
 * @param p probability, 0 < p < 1 [1]
 * @param degrees degrees of freedom, > 0 [1]
 * @returns [1]
 * @throws `E_DOMAIN`
 * @example
 * chiSquaredQuantile(0.95, 3) // ≈ 7.8147279033
 */
export function chiSquaredQuantile(p: number, degrees: number): number {
  requireNumber(p, "p", "1", { over: 0, under: 1 });
  requireNumber(degrees, "degrees", "1", { over: 0 });
  return invertCdf((x) => incompleteGamma(degrees / 2, x / 2), p, 0, degrees);
}

/**
 * The number that an F variable exceeds with probability 1 - p.
 *
 * @param p probability, 0 < p < 1 [1]
 * @param above degrees of freedom of the numerator, > 0 [1]
 * @param below degrees of freedom of the denominator, > 0 [1]
 * @returns [1]
 * @throws `E_DOMAIN`
 * @example
 * fQuantile(0.95, 3, 10) // ≈ 3.7082648
 */
export function fQuantile(p: number, above: number, below: number): number {
  requireNumber(p, "p", "1", { over: 0, under: 1 });
  requireNumber(above, "above", "1", { over: 0 });
  requireNumber(below, "below", "1", { over: 0 });
  return invertCdf((x) => incompleteBeta((above * x) / (above * x + below), above / 2, below / 2), p, 0, 1);
}

import { BellmouthError, requireNumber } from "../fault/index.js";

/**
 * Stieltjes series above 10, brought there by the recurrence below: full double precision without a table of
 * fitted coefficients.
 *
 * @param x > 0 [1]
 * @returns natural logarithm of the gamma function [1]
 * @throws `E_DOMAIN`
 * @source Abramowitz and Stegun, Handbook of Mathematical Functions (1964), 6.1.15 and 6.1.41
 */
export function logGamma(x: number): number {
  requireNumber(x, "x", "1", { over: 0 });
  let product = 1;
  let z = x;
  while (z < 10) {
    product *= z;
    z += 1;
  }
  const w = 1 / (z * z);
  const series =
    (1 / 12 +
      w *
        (-1 / 360 +
          w * (1 / 1260 + w * (-1 / 1680 + w * (1 / 1188 + w * (-691 / 360360 + w * (1 / 156))))))) /
    z;
  return (z - 0.5) * Math.log(z) - z + 0.5 * Math.log(2 * Math.PI) + series - Math.log(product);
}

const TINY = 1e-300;
const LIMIT = 10_000;

function notSettled(what: string): never {
  throw new BellmouthError({
    code: "E_NOT_CONVERGED",
    message: `${what} did not settle`,
    accepted: "arguments of moderate size",
  });
}

/** Continued fraction b0 + a1/(b1 + a2/(b2 + …)), by the modified Lentz method. */
function continuedFraction(b0: number, term: (k: number) => readonly [a: number, b: number]): number {
  let f = b0 === 0 ? TINY : b0;
  let c = f;
  let d = 0;
  for (let k = 1; k <= LIMIT; k++) {
    const [a, b] = term(k);
    d = b + a * d;
    if (d === 0) d = TINY;
    c = b + a / c;
    if (c === 0) c = TINY;
    d = 1 / d;
    const step = c * d;
    f *= step;
    if (Math.abs(step - 1) < 1e-16) return f;
    // Rounding may keep the last bit of `step` flipping for ever.
    if (k > 200 && Math.abs(step - 1) < 4e-16) return f;
  }
  return notSettled("a continued fraction");
}

/**
 * Regularised incomplete beta function I_x(a, b).
 *
 * @param x 0 to 1 [1]
 * @param a > 0 [1]
 * @param b > 0 [1]
 * @returns 0 to 1 [1]
 * @throws `E_DOMAIN`
 * @source NIST Digital Library of Mathematical Functions, 8.17.22 (continued fraction) and 8.17.4 (reflection)
 */
export function incompleteBeta(x: number, a: number, b: number): number {
  requireNumber(x, "x", "1", { from: 0, to: 1 });
  requireNumber(a, "a", "1", { over: 0 });
  requireNumber(b, "b", "1", { over: 0 });
  if (x === 0 || x === 1) return x;
  if (x > (a + 1) / (a + b + 2)) return 1 - incompleteBeta(1 - x, b, a);
  const front = Math.exp(a * Math.log(x) + b * Math.log1p(-x) + logGamma(a + b) - logGamma(a) - logGamma(b));
  const fraction = continuedFraction(1, (k) => {
    const m = k >> 1;
    const even = (m * (b - m) * x) / ((a + 2 * m - 1) * (a + 2 * m));
    const odd = (-(a + m) * (a + b + m) * x) / ((a + 2 * m) * (a + 2 * m + 1));
    return [k % 2 === 0 ? even : odd, 1];
  });
  return front / (a * fraction);
}

/**
 * Regularised lower incomplete gamma function P(a, x).
 *
 * @param a > 0 [1]
 * @param x >= 0 [1]
 * @returns 0 to 1 [1]
 * @throws `E_DOMAIN`
 * @source NIST Digital Library of Mathematical Functions, 8.11.4 (series) and 8.9.2 (continued fraction)
 */
export function incompleteGamma(a: number, x: number): number {
  requireNumber(a, "a", "1", { over: 0 });
  requireNumber(x, "x", "1", { from: 0 });
  if (x === 0) return 0;
  const front = Math.exp(a * Math.log(x) - x - logGamma(a));
  if (x < a + 1) {
    let term = 1 / a;
    let sum = term;
    for (let k = 1; k <= LIMIT; k++) {
      term *= x / (a + k);
      sum += term;
      if (term < sum * 1e-17) return front * sum;
    }
    return notSettled("the series of the incomplete gamma function");
  }
  return 1 - upperGammaFraction(a, x) * front;
}

/** Q(a, x) over its front factor; kept apart because far tails need Q itself, not 1 - P. */
function upperGammaFraction(a: number, x: number): number {
  return 1 / continuedFraction(x + 1 - a, (k) => [-k * (k - a), x + 2 * k + 1 - a]);
}

/**
 * Complementary error function.
 *
 * @param x any finite number [1]
 * @returns 0 to 2, with full relative precision in the upper tail [1]
 * @throws `E_DOMAIN`
 * @source NIST Digital Library of Mathematical Functions, 7.11.1 and 7.11.2 (as an incomplete gamma function)
 */
export function erfc(x: number): number {
  requireNumber(x, "x", "1");
  if (x < 0) return 2 - erfc(-x);
  const square = x * x;
  if (square < 1.5) return 1 - incompleteGamma(0.5, square);
  return (x * Math.exp(-square) * upperGammaFraction(0.5, square)) / Math.sqrt(Math.PI);
}

import { BellmouthError, requireNumber } from "../fault/index.js";

/**
 * A polynomial held as Chebyshev coefficients on a stated interval. Raw powers of signals in hertz lose every
 * digit at degree ten (NIST's Filip set shows it); this basis does not.
 */
export interface ChebyshevSeries {
  /** interval that is mapped to [-1, 1], in the unit of x */
  readonly from: number;
  readonly to: number;
  /** coefficients of T_0, T_1, …, in the unit of y */
  readonly coefficients: readonly number[];
}

/** x mapped to [-1, 1] on the interval; outside it the result is outside too. */
export const chebyshevPosition = (x: number, from: number, to: number): number =>
  (2 * x - from - to) / (to - from);

/**
 * Row of a design matrix: T_0 … T_degree at x.
 *
 * @param x position, in the unit of the interval
 * @param from start of the interval, < `to`
 * @param to end of the interval
 * @param degree whole number >= 0 [1]
 * @throws `E_DOMAIN`
 */
export function chebyshevRow(x: number, from: number, to: number, degree: number): number[] {
  requireNumber(x, "x", "1");
  requireNumber(to - from, "to - from", "1", { over: 0 });
  if (!(Number.isInteger(degree) && degree >= 0)) {
    throw new BellmouthError({
      code: "E_DOMAIN",
      message: "a degree is a whole number",
      found: String(degree),
      accepted: "0, 1, 2, …",
      at: { path: "degree" },
    });
  }
  const z = chebyshevPosition(x, from, to);
  const row = [1, z].slice(0, degree + 1);
  for (let k = 2; k <= degree; k++) row.push(2 * z * (row[k - 1] as number) - (row[k - 2] as number));
  return row;
}

/**
 * Value of a series.
 *
 * @param series the series
 * @param x position, in the unit of the series' interval
 * @returns value, in the unit of the coefficients; NaN when x is NaN
 * @source C. W. Clenshaw, "A note on the summation of Chebyshev series", Math. Comp. 9 (1955) 118
 */
export function evaluateChebyshev(series: ChebyshevSeries, x: number): number {
  const z = chebyshevPosition(x, series.from, series.to);
  let b1 = 0;
  let b2 = 0;
  for (let k = series.coefficients.length - 1; k >= 1; k--) {
    const b = 2 * z * b1 - b2 + (series.coefficients[k] as number);
    b2 = b1;
    b1 = b;
  }
  return z * b1 - b2 + (series.coefficients[0] ?? 0);
}

/**
 * Matrix M with power coefficients = M * Chebyshev coefficients: turns a series on [from, to] into a sum of powers
 * of x, for checks and for reading by others. Row i holds the coefficient of x^i that each T_j contributes.
 */
export function chebyshevToPowers(from: number, to: number, degree: number): number[][] {
  const scale = 2 / (to - from);
  const shift = -(from + to) / (to - from);
  // columns[j] are the power coefficients of T_j(scale x + shift)
  const columns: number[][] = [[1], [shift, scale]];
  for (let j = 2; j <= degree; j++) {
    const a = columns[j - 1] as number[];
    const b = columns[j - 2] as number[];
    columns.push(
      Array.from(
        { length: j + 1 },
        (_, i) => 2 * shift * (a[i] ?? 0) + 2 * scale * (a[i - 1] ?? 0) - (b[i] ?? 0),
      ),
    );
  }
  return Array.from({ length: degree + 1 }, (_, i) =>
    Array.from({ length: degree + 1 }, (_, j) => columns[j]?.[i] ?? 0),
  );
}

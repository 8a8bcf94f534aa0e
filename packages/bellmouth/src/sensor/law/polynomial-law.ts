import { chebyshevRow, type FitStatus, linearLeastSquares, type Rows } from "../../fit/index.js";
import type { LawData } from "./check-points.js";
import type { LawCurve } from "./law-curve.js";
import { risingRange } from "./rising-range.js";

/** A fitted curve with what its fit knows. */
export interface FittedCurve {
  readonly curve: LawCurve;
  readonly status: FitStatus;
  readonly covariance: Rows;
}

type PolynomialForm = "log polynomial" | "log-log polynomial";

const polynomialVariable = (form: PolynomialForm, signal: number): number =>
  form === "log polynomial" ? signal : Math.log(signal);

function polynomialDesign({ signal }: LawData, form: PolynomialForm, degree: number) {
  const x = signal.map((s) => polynomialVariable(form, s));
  const from = x[0] as number;
  const to = x[x.length - 1] as number;
  return { from, to, rows: x.map((value) => chebyshevRow(value, from, to, degree)) };
}

export function polynomialFit(
  data: LawData,
  form: PolynomialForm,
  degree: number,
  weight: readonly number[],
  spread: "estimate" | "known",
): FittedCurve {
  const { from, to, rows } = polynomialDesign(data, form, degree);
  const fit = linearLeastSquares(rows, data.y, { weights: weight, spread });
  // One point more than parameters was asked for, so there are degrees of freedom and the covariance exists.
  return {
    curve: { form, series: { from, to, coefficients: fit.parameters } },
    status: "converged",
    covariance: fit.covariance as Rows,
  };
}

/**
 * The polynomial, of degree 1 to the highest allowed, that leaves one out best and rises. The columns of one orthogonal basis serve every
 * degree: each adds its share to the fitted values and to the leverage.
 */
export function bestPolynomial(
  data: LawData,
  form: PolynomialForm,
  weight: readonly number[],
  spread: "estimate" | "known",
  allowed: number,
): FittedCurve {
  const { signal, y } = data;
  const different = new Set(signal).size;
  const highest = Math.min(allowed, y.length - 2, different - 1);
  const roots = weight.map(Math.sqrt);
  const { basis } = orthonormal(polynomialDesign(data, form, highest).rows, roots);
  const rest = y.map((value, i) => value * (roots[i] as number));
  const leverage = y.map(() => 0);
  const errors = basis.map((column) => {
    const part = column.reduce((sum, q, i) => sum + q * (rest[i] as number), 0);
    let error = 0;
    column.forEach((q, i) => {
      rest[i] = (rest[i] as number) - part * q;
      leverage[i] = (leverage[i] as number) + q * q;
      error += ((rest[i] as number) / (1 - (leverage[i] as number))) ** 2;
    });
    return error;
  });
  // A higher degree must earn itself: an error equal to rounding does not choose.
  const order = errors
    .map((error, degree) => ({ degree, error }))
    .slice(1)
    .sort((p, q) =>
      Math.abs(p.error - q.error) <= 1e-9 * p.error ? p.degree - q.degree : p.error - q.error,
    );
  for (const { degree } of order) {
    const fit = polynomialFit(data, form, degree, weight, spread);
    if (risingRange(fit.curve, signal[0] as number, signal[signal.length - 1] as number) !== null) return fit;
  }
  return polynomialFit(data, form, 1, weight, spread);
}

interface Orthonormal {
  readonly basis: readonly (readonly number[])[];
  /** part[k][j]: share of column j of the basis in column k of the design */
  readonly parts: readonly (readonly number[])[];
}

/** Columns of a weighted design made orthogonal and of unit length, in turn; twice, which rounding needs. */
function orthonormal(rows: Rows, roots: readonly number[]): Orthonormal {
  const basis: number[][] = [];
  const parts: number[][] = [];
  const width = rows[0]?.length ?? 0;
  for (let k = 0; k < width; k++) {
    const column = rows.map((row, i) => (row[k] as number) * (roots[i] as number));
    const shares = new Array<number>(k + 1).fill(0);
    for (let pass = 0; pass < 2; pass++) {
      basis.forEach((other, j) => {
        const part = sumOfProducts(other, column);
        shares[j] = (shares[j] as number) + part;
        other.forEach((q, i) => {
          column[i] = (column[i] as number) - part * q;
        });
      });
    }
    const length = Math.sqrt(sumOfProducts(column, column));
    shares[k] = length;
    parts.push(shares);
    basis.push(column.map((value) => value / length));
  }
  return { basis, parts };
}

const sumOfProducts = (a: readonly number[], b: readonly number[]): number =>
  a.reduce((sum, value, i) => sum + value * (b[i] as number), 0);

/** Coefficients of a polynomial alone, for the many fits that need neither covariance nor leverage. */
export function quickPolynomial(data: LawData, form: PolynomialForm, degree: number): LawCurve {
  const { from, to, rows } = polynomialDesign(data, form, degree);
  const roots = data.weight.map(Math.sqrt);
  const { basis, parts } = orthonormal(rows, roots);
  const wanted = data.y.map((value, i) => value * (roots[i] as number));
  const coefficients = basis.map((column) => sumOfProducts(column, wanted));
  for (let k = degree; k >= 0; k--) {
    const shares = parts[k] as readonly number[];
    const value = (coefficients[k] as number) / (shares[k] as number);
    coefficients[k] = value;
    for (let j = 0; j < k; j++) coefficients[j] = (coefficients[j] as number) - value * (shares[j] as number);
  }
  return { form, series: { from, to, coefficients } };
}

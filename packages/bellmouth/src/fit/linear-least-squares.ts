import { Matrix, QrDecomposition } from "ml-matrix";
import { BellmouthError, requireNumber } from "../fault/index.js";
import { columnLengths, covarianceOf, dot, invertTriangle, type Rows } from "./triangle.js";

export interface LeastSquaresOptions {
  /** One weight per observation, >= 0 [1 over the unit of y, squared]: 1/u^2 for a standard uncertainty u. */
  readonly weights?: readonly number[];
  /**
   * Where the spread of the observations comes from: "estimate" it from the residuals (weights are then only
   * relative), or take it as "known" from the weights.
   */
  readonly spread?: "estimate" | "known";
}

export interface LinearFit {
  readonly parameters: readonly number[];
  /** Covariance of the parameters; null when the spread cannot be estimated (no degrees of freedom). */
  readonly covariance: Rows | null;
  /** y minus fitted, unweighted, in the unit of y */
  readonly residuals: readonly number[];
  /** share of each fitted value that its own observation decides, 0 to 1 [1] */
  readonly leverage: readonly number[];
  /** weighted sum of squared residuals, recomputed from the returned parameters */
  readonly sumOfSquares: number;
  /** root of sumOfSquares over degrees of freedom; NaN is never given: null without degrees of freedom */
  readonly residualSd: number | null;
  readonly degreesOfFreedom: number;
  /** observations with a weight above zero */
  readonly n: number;
}

/**
 * Weighted linear least squares by QR on columns scaled to unit length, with two steps of iterative refinement.
 * Normal equations would square the condition number: they fail NIST's Longley and Filip sets.
 *
 * @param design one row per observation, one column per parameter
 * @param y      observations, any unit
 * @throws `E_SHAPE` on lengths, `E_DOMAIN` on NaN, infinities or negative weights, `E_TOO_LITTLE_DATA` with fewer
 *   observations than parameters, `E_SINGULAR` when the columns do not determine the parameters
 * @source A. Bjorck, Numerical Methods for Least Squares Problems (1996), 2.4 and 2.9
 * @example
 * linearLeastSquares([[1, 0], [1, 1], [1, 2]], [1, 3, 5]).parameters[1] // ≈ 2.000000000
 */
export function linearLeastSquares(
  design: Rows,
  y: readonly number[],
  options: LeastSquaresOptions = {},
): LinearFit {
  const columns = design[0]?.length ?? 0;
  checkShapes(design, y, options.weights, columns);
  const roots = y.map((_, i) => Math.sqrt(options.weights?.[i] ?? 1));
  const n = roots.filter((root) => root > 0).length;
  if (columns < 1 || n < columns) {
    throw new BellmouthError({
      code: "E_TOO_LITTLE_DATA",
      message: "fewer observations than parameters",
      found: `${n} observations for ${columns} parameters`,
      accepted: "at least one observation per parameter",
      at: { path: "design" },
    });
  }
  const weighted = design.map((row, i) => row.map((value) => value * (roots[i] as number)));
  const scales = columnLengths(weighted, columns);
  const scaled = new Matrix(weighted.map((row) => row.map((value, j) => value / (scales[j] as number))));
  const qr = new QrDecomposition(scaled);
  const inverse = invertTriangle(qr.upperTriangularMatrix.to2DArray());
  const solve = (right: readonly number[]): number[] =>
    qr.solve(Matrix.columnVector(right as number[])).to1DArray();

  const parameters = new Array<number>(columns).fill(0);
  let residuals = [...y];
  // First pass solves; the next two solve again for what rounding left over.
  for (let pass = 0; pass < 3; pass++) {
    const step = solve(residuals.map((value, i) => value * (roots[i] as number)));
    for (let j = 0; j < columns; j++)
      parameters[j] = (parameters[j] as number) + (step[j] as number) / (scales[j] as number);
    residuals = y.map((value, i) => value - dot(design[i] as readonly number[], parameters));
  }
  const sumOfSquares = residuals.reduce((sum, value, i) => sum + (value * (roots[i] as number)) ** 2, 0);
  const degreesOfFreedom = n - columns;
  const residualSd = degreesOfFreedom > 0 ? Math.sqrt(sumOfSquares / degreesOfFreedom) : null;
  const spread = options.spread === "known" ? 1 : residualSd;
  const q = qr.orthogonalMatrix;
  return {
    parameters,
    covariance: spread === null ? null : covarianceOf(inverse, scales, spread * spread),
    residuals,
    leverage: y.map((_, i) => q.getRow(i).reduce((sum, value) => sum + value * value, 0)),
    sumOfSquares,
    residualSd,
    degreesOfFreedom,
    n,
  };
}

function checkShapes(
  design: Rows,
  y: readonly number[],
  weights: readonly number[] | undefined,
  columns: number,
): void {
  if (
    design.length !== y.length ||
    design.some((row) => row.length !== columns) ||
    (weights !== undefined && weights.length !== y.length)
  ) {
    throw new BellmouthError({
      code: "E_SHAPE",
      message: "a fit needs one row, and one weight where weights are given, per observation",
      found: `${design.length} rows, ${y.length} observations, ${weights?.length ?? "no"} weights`,
      accepted: "lists of equal length, rows of equal length",
      at: { path: "design" },
    });
  }
  y.forEach((value, i) => {
    requireNumber(value, `y[${i}]`, "1");
  });
  weights?.forEach((value, i) => {
    requireNumber(value, `weights[${i}]`, "1", { from: 0 });
  });
  design.forEach((row, i) => {
    row.forEach((value, j) => {
      requireNumber(value, `design[${i}][${j}]`, "1");
    });
  });
}

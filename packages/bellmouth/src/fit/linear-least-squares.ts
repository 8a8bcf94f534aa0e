import { Matrix, QrDecomposition } from "ml-matrix";
import { BellmouthError, requireNumber } from "../fault/index.js";

/** Rows of numbers, all of equal length. */
export type Rows = readonly (readonly number[])[];

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

/** Ratio of diagonal elements below which a scaled triangle counts as singular. */
const SINGULAR = 1e-14;

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

const dot = (a: readonly number[], b: readonly number[]): number => {
  let sum = 0;
  for (let j = 0; j < a.length; j++) sum += (a[j] as number) * (b[j] as number);
  return sum;
};

/** Length of each column; a column of zeros would say nothing of its parameter. */
export function columnLengths(rows: Rows, columns: number): number[] {
  return Array.from({ length: columns }, (_, j) => {
    const length = Math.hypot(...rows.map((row) => row[j] as number));
    if (!(length > 0)) {
      throw new BellmouthError({
        code: "E_SINGULAR",
        message: "the observations say nothing of a parameter",
        found: `column ${j} holds zeros only`,
        accepted: "observations that depend on every parameter",
        at: { path: `design[*][${j}]` },
      });
    }
    return length;
  });
}

/** Inverse of an upper triangle whose columns had unit length before the decomposition. */
export function invertTriangle(triangle: Rows): number[][] {
  const n = triangle.length;
  const diagonal = triangle.map((row, i) => Math.abs(row[i] as number));
  const worst = diagonal.indexOf(Math.min(...diagonal));
  if (!((diagonal[worst] as number) > SINGULAR * Math.max(...diagonal))) {
    throw new BellmouthError({
      code: "E_SINGULAR",
      message: "the observations cannot tell the parameters apart",
      found: `parameter ${worst} follows from those before it`,
      accepted: "more varied observations, or fewer parameters",
      at: { path: `parameters[${worst}]` },
    });
  }
  const inverse = Array.from({ length: n }, () => new Array<number>(n).fill(0));
  for (let j = 0; j < n; j++) {
    for (let i = j; i >= 0; i--) {
      let sum = i === j ? 1 : 0;
      for (let k = i + 1; k <= j; k++)
        sum -= ((triangle[i] as readonly number[])[k] as number) * ((inverse[k] as number[])[j] as number);
      (inverse[i] as number[])[j] = sum / ((triangle[i] as readonly number[])[i] as number);
    }
  }
  return inverse;
}

/** variance * (R'R)^-1, with the column scaling taken back. */
export function covarianceOf(inverse: Rows, scales: readonly number[], variance: number): number[][] {
  return inverse.map((rowI, i) =>
    inverse.map((rowJ, j) => (variance * dot(rowI, rowJ)) / ((scales[i] as number) * (scales[j] as number))),
  );
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

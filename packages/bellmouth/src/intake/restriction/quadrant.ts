/** Two coefficients with their covariance. */
export interface CoefficientPair {
  readonly linear: number;
  readonly square: number;
  readonly varianceLinear: number;
  readonly varianceSquare: number;
  readonly covariance: number;
}

/**
 * Least-squares estimate of two coefficients neither of which can be negative: the point of the quadrant nearest to
 * the free estimate in the metric of its covariance. Setting one coefficient to zero moves the other along the
 * regression of the two errors; clipping alone would not.
 *
 * @param pair coefficients in their units, covariance in the products of them; the covariance may be singular
 * @returns coefficients >= 0, same units
 */
export function nonNegativePair(pair: CoefficientPair): { readonly linear: number; readonly square: number } {
  const { linear, square, varianceLinear, varianceSquare, covariance } = pair;
  if (linear >= 0 && square >= 0) return { linear, square };
  const slopeOnLinear = varianceLinear > 0 ? covariance / varianceLinear : 0;
  const slopeOnSquare = varianceSquare > 0 ? covariance / varianceSquare : 0;
  // On each edge the cost of leaving the free estimate is known: z^2 of the coefficient set to zero, plus z^2 of
  // what clipping the other one to zero costs on top.
  const edges = [
    { linear: 0, square: square - slopeOnLinear * linear, cost: squareOver(linear, varianceLinear) },
    { linear: linear - slopeOnSquare * square, square: 0, cost: squareOver(square, varianceSquare) },
  ].map((edge) => {
    const other = edge.linear === 0 ? edge.square : edge.linear;
    const spread =
      edge.linear === 0
        ? varianceSquare - slopeOnLinear * covariance
        : varianceLinear - slopeOnSquare * covariance;
    return {
      linear: Math.max(0, edge.linear),
      square: Math.max(0, edge.square),
      cost: edge.cost + (other < 0 ? squareOver(other, spread) : 0),
    };
  }) as [Edge, Edge];
  const best = edges[0].cost <= edges[1].cost ? edges[0] : edges[1];
  return { linear: best.linear, square: best.square };
}

interface Edge {
  readonly linear: number;
  readonly square: number;
  readonly cost: number;
}

const squareOver = (value: number, variance: number): number =>
  value === 0 ? 0 : variance > 0 ? (value * value) / variance : Number.POSITIVE_INFINITY;

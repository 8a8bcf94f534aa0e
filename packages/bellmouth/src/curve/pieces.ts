import type { Curve } from "./curve.js";

/**
 * Slope of the straight line from (x0, y0) to (x1, y1), turned towards zero by the last bit where rounding would
 * carry `y0 + slope * (x - x0)` past y1. So a straight curve never overshoots a breakpoint and a rising one never
 * falls, bit for bit, at no cost when it is evaluated.
 */
export function straightSlope(x0: number, y0: number, x1: number, y1: number): number {
  const run = x1 - x0;
  const past = (slope: number): boolean => (y1 >= y0 ? y0 + slope * run > y1 : y0 + slope * run < y1);
  let slope = (y1 - y0) / run;
  // One or two turns do, except among the least numbers a double can hold, where nothing but zero is safe.
  for (let turn = 0; turn < 8 && past(slope); turn++) slope *= 1 - Number.EPSILON;
  return past(slope) ? 0 : slope;
}

/** Derivative at an interior node: weighted harmonic mean of the neighbouring slopes, zero at a turning point. */
function innerDerivative(h0: number, m0: number, h1: number, m1: number): number {
  if (!(m0 * m1 > 0)) return 0;
  const w0 = 2 * h1 + h0;
  const w1 = h1 + 2 * h0;
  return (w0 + w1) / (w0 / m0 + w1 / m1);
}

/** Derivative at an end node: one-sided three-point formula, limited so that the end segment stays monotone. */
function endDerivative(h0: number, m0: number, h1: number, m1: number): number {
  const d = ((2 * h0 + h1) * m0 - h0 * m1) / (h0 + h1);
  if (!(d * m0 > 0)) return 0;
  return !(m0 * m1 > 0) && Math.abs(d) > 3 * Math.abs(m0) ? 3 * m0 : d;
}

/**
 * Derivative of the monotone cubic at node k.
 *
 * @source Fritsch and Butland, SIAM J. Sci. Stat. Comput. 5 (1984) 300-304, for the interior; ends as in Moler,
 * Numerical Computing with MATLAB (2004), section 3.6
 */
export function nodeDerivative(x: ArrayLike<number>, y: ArrayLike<number>, k: number): number {
  const n = x.length;
  const run = (i: number): number => (x[i + 1] as number) - (x[i] as number);
  const slope = (i: number): number => ((y[i + 1] as number) - (y[i] as number)) / run(i);
  if (n === 2) return slope(0);
  if (k === 0) return endDerivative(run(0), slope(0), run(1), slope(1));
  if (k === n - 1) return endDerivative(run(n - 2), slope(n - 2), run(n - 3), slope(n - 3));
  return innerDerivative(run(k - 1), slope(k - 1), run(k), slope(k));
}

/**
 * Segment k. Straight: y + b (x - x[k]), c = d = 0. Cubic: y + u (b + u (c + u d)) with u = 0 … 1 across the segment,
 * so that the numbers stay of the size of the rise however close the breakpoints are.
 */
export interface Piece {
  readonly b: number;
  readonly c: number;
  readonly d: number;
}

/** The polynomial of segment k (0 … n - 2) of a curve. */
export function pieceOf(curve: Curve, k: number): Piece {
  const x = curve.x.values;
  const y = curve.y.values;
  const x0 = x[k] as number;
  const x1 = x[k + 1] as number;
  const y0 = y[k] as number;
  const y1 = y[k + 1] as number;
  if (curve.between === "straight") return { b: straightSlope(x0, y0, x1, y1), c: 0, d: 0 };
  const rise = y1 - y0;
  // Both derivatives are within 0 … 3 of the segment's slope by construction; this holds them there when numbers near
  // the ends of what a double can hold overflow on the way.
  const side = (node: number): number => {
    const change = nodeDerivative(x, y, node) * (x1 - x0);
    return Math.sign(rise) * Math.min(Math.abs(change), 3 * Math.abs(rise));
  };
  const b = side(k);
  const e = side(k + 1);
  return { b, c: 3 * rise - 2 * b - e, d: b + e - 2 * rise };
}

/** Slope with which a curve goes on past its first (end = 0) or last (end = n - 1) breakpoint when it extends. */
export function endSlope(curve: Curve, end: number): number {
  if (curve.between === "monotone cubic") return nodeDerivative(curve.x.values, curve.y.values, end);
  return pieceOf(curve, end === 0 ? 0 : end - 1).b;
}

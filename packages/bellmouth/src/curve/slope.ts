import type { Curve } from "./curve.js";
import { evaluateCurve } from "./evaluate.js";
import { halve } from "./knot-index.js";
import { endSlope, nodeDerivative, pieceOf } from "./pieces.js";

/**
 * Slope of a curve at x: how much the value changes for a small rise of x. At a breakpoint of straight lines it is
 * the slope to its right (at the last, to its left).
 *
 * @param x in the unit of the curve's x axis; NaN gives NaN
 * @returns unit of the y axis over unit of the x axis; outside the breakpoints 0 where the curve holds
 * @throws `E_OUTSIDE` as `evaluateCurve`
 * @example
 * const curve = makeCurve({
 *   x: { quantity: "voltage", values: [1, 2, 4] },
 *   y: { quantity: "mass flow", values: [0.004, 0.02, 0.18] },
 *   between: "straight",
 *   outside: "hold",
 * });
 * curveSlope(curve, 3) // ≈ 0.08
 */
export function curveSlope(curve: Curve, x: number): number {
  const xs = curve.x.values;
  const n = xs.length;
  const first = xs[0] as number;
  const last = xs[n - 1] as number;
  if (!(x >= first && x <= last)) {
    const value = evaluateCurve(curve, x);
    if (Number.isNaN(value)) return value;
    return curve.outside === "hold" ? 0 : endSlope(curve, x < first ? 0 : n - 1);
  }
  const k = halve(xs, x, 0, n - 1);
  if (k === n - 1) return endSlope(curve, k);
  const { b, c, d } = pieceOf(curve, k);
  if (curve.between === "straight") return b;
  const t = x - (xs[k] as number);
  if (t === 0) return nodeDerivative(xs, curve.y.values, k);
  const h = (xs[k + 1] as number) - (xs[k] as number);
  const u = t / h;
  return (b + u * (2 * c + 3 * u * d)) / h;
}

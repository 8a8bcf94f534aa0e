import { BellmouthError } from "../fault/index.js";
import { direction } from "./check.js";
import type { Curve } from "./curve.js";
import {
  curveEvaluator,
  evaluateCurve,
  evaluatePrepared,
  type PreparedCurve,
  prepareCurve,
} from "./evaluate.js";

function requireDirection(curve: Curve): "rising" | "falling" {
  const way = direction(curve.y.values);
  if (way !== "neither") return way;
  throw new BellmouthError({
    code: "E_NOT_INVERTIBLE",
    message: "only a curve that rises or falls all the way can be read backwards",
    found: "values that turn or repeat",
    accepted: "strictly increasing or strictly decreasing values",
    at: { path: "y.values" },
  });
}

/** The curve with its axes exchanged, breakpoints in rising order. */
function exchanged(curve: Curve): Curve {
  const falling = requireDirection(curve) === "falling";
  const turn = (values: readonly number[]): readonly number[] => (falling ? [...values].reverse() : values);
  return {
    kind: "curve",
    x: { quantity: curve.y.quantity, values: turn(curve.y.values) },
    y: { quantity: curve.x.quantity, values: turn(curve.x.values) },
    between: "straight",
    outside: curve.outside,
  };
}

/**
 * Makes a curve ready for many backward readings with `evaluatePrepared` or `evaluateInto`.
 *
 * A curve of straight lines becomes the curve with its axes exchanged; a monotone cubic is solved in its segment.
 * Outside the range of values: `hold` gives the end breakpoint (every x beyond it reads the same, so this is the
 * nearest), `extend` carries the end line on, `refuse` throws.
 *
 * @throws `E_NOT_INVERTIBLE` when the values are not strictly monotone, or when an extending cubic ends flat
 */
export function prepareInverse(curve: Curve): PreparedCurve {
  const lines = prepareCurve(exchanged(curve));
  if (curve.between === "straight") return lines;
  const cubic = prepareCurve(curve);
  const falling = (curve.y.values[0] as number) > (curve.y.values[1] as number);
  const slope = (forward: number): number => {
    if (curve.outside !== "extend") return 0;
    if (forward !== 0) return 1 / forward;
    throw new BellmouthError({
      code: "E_NOT_INVERTIBLE",
      message: "a curve that goes on flat past its end cannot be read backwards there",
      accepted: "an end slope other than zero, or outside: hold or refuse",
      at: { path: "outside" },
    });
  };
  const [low, high] = falling ? [cubic.above, cubic.below] : [cubic.below, cubic.above];
  return { ...lines, method: "root", forward: cubic, below: slope(low), above: slope(high) };
}

/**
 * The x at which a strictly monotone curve, rising or falling, has the value y.
 *
 * @param y in the unit of the curve's y axis; NaN gives NaN
 * @returns x in the unit of the curve's x axis; breakpoints are reproduced exactly
 * @throws `E_NOT_INVERTIBLE` as `prepareInverse`; `E_OUTSIDE` when the curve refuses and y is out of its range
 * @example
 * const thermistor = makeCurve({
 *   x: { quantity: "resistance", values: [300, 2500, 9400] },
 *   y: { quantity: "temperature", values: [353.15, 293.15, 263.15] },
 *   between: "straight",
 *   outside: "hold",
 * });
 * invertCurve(thermistor, 293.15) // ≈ 2500
 */
export function invertCurve(curve: Curve, y: number): number {
  // Straight lines exchanged are read without preparing anything.
  if (curve.between === "straight") return evaluateCurve(exchanged(curve), y);
  return evaluatePrepared(prepareInverse(curve), y);
}

/**
 * The function that reads a strictly monotone curve backwards: the same bits as `invertCurve`.
 *
 * @returns function of y in the unit of the curve's y axis, to the unit of its x axis
 * @throws as `prepareInverse`, and the returned function `E_OUTSIDE`
 */
export function inverseEvaluator(curve: Curve): (y: number) => number {
  if (curve.between === "straight") return curveEvaluator(exchanged(curve));
  const prepared = prepareInverse(curve);
  return (y) => evaluatePrepared(prepared, y);
}

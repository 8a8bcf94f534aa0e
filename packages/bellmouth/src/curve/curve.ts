import { BellmouthError, requireNumber } from "../fault/index.js";

/** What an axis holds; its values are always in the SI unit named here. */
export type AxisQuantity =
  | "frequency" // Hz
  | "voltage" // V
  | "count" // converter counts
  | "resistance" // ohm
  | "mass flow" // kg/s
  | "temperature" // K
  | "pressure" // Pa absolute
  | "rotational speed" // rev/s
  | "ratio"; // 1

export interface Axis {
  readonly quantity: AxisQuantity;
  readonly values: readonly number[];
}

/** How the device that reads the curve joins breakpoints. */
export type Between = "straight" | "monotone cubic";

/**
 * What the device does outside the breakpoints: hold the end value, carry the end segment on, or (for analysis)
 * refuse with `E_OUTSIDE`. There is no default: devices differ.
 */
export type Outside = "hold" | "extend" | "refuse";

declare const checked: unique symbol;

/** A checked one-axis curve: plain JSON-ready data, made by `makeCurve` so that raw literals cannot skip the checks. */
export interface Curve {
  readonly kind: "curve";
  readonly x: Axis;
  readonly y: Axis;
  readonly between: Between;
  readonly outside: Outside;
  readonly [checked]?: true;
}

/**
 * Checks and marks a curve.
 *
 * @param curve x strictly increasing, x and y of equal length >= 2, all finite
 * @throws `E_SHAPE` on lengths, `E_ORDER` on breakpoints, `E_DOMAIN` on NaN, infinities and slopes past what a double holds
 */
export function makeCurve(curve: Omit<Curve, "kind" | typeof checked>): Curve {
  const { x, y } = curve;
  if (x.values.length !== y.values.length || x.values.length < 2) {
    throw new BellmouthError({
      code: "E_SHAPE",
      message: "a curve needs as many values as breakpoints, and at least two",
      found: `${x.values.length} breakpoints and ${y.values.length} values`,
      accepted: "two lists of equal length >= 2",
      at: { path: "curve" },
    });
  }
  let previous = Number.NEGATIVE_INFINITY;
  x.values.forEach((value, i) => {
    requireNumber(value, `x.values[${i}]`, x.quantity);
    requireNumber(y.values[i] as number, `y.values[${i}]`, y.quantity);
    if (!(value > previous)) {
      throw new BellmouthError({
        code: "E_ORDER",
        message: "breakpoints must be strictly increasing",
        found: `${value} after ${previous}`,
        accepted: `a breakpoint above ${previous}`,
        at: { path: `x.values[${i}]` },
      });
    }
    if (i > 0) requireSlope(curve, i);
    previous = value;
  });
  return { kind: "curve", ...curve };
}

function requireSlope(curve: Omit<Curve, "kind" | typeof checked>, i: number): void {
  const [x0, x1] = [curve.x.values[i - 1] as number, curve.x.values[i] as number];
  const [y0, y1] = [curve.y.values[i - 1] as number, curve.y.values[i] as number];
  if (Number.isFinite((y1 - y0) / (x1 - x0)) && Number.isFinite(x1 - x0)) return;
  throw new BellmouthError({
    code: "E_DOMAIN",
    message: "the line between two breakpoints is too steep or too long to compute with",
    found: `${y0} to ${y1} over ${x0} to ${x1}`,
    accepted: "a finite slope",
    at: { path: `y.values[${i}]` },
  });
}

import { BellmouthError, requireNumber } from "../fault/index.js";
import type { AxisQuantity, Curve } from "./curve.js";
import { curveEvaluator } from "./evaluate.js";

/** A line given by a function instead of breakpoints. */
export interface TargetLine {
  readonly kind: "line";
  /** What the function returns. */
  readonly quantity: AxisQuantity;
  /** Value at x, both in SI; finite wherever it is asked. */
  readonly at: (x: number) => number;
  /** Places where the line has a corner; other places are taken to be smooth. */
  readonly corners?: readonly number[];
}

/** What an executed curve is held against: another curve, read by its own rules, or a function. */
export type CurveTarget = Curve | TargetLine;

/** How an error is measured. */
export interface ErrorMeasure {
  /** `relative`: over the target's magnitude [1]. `absolute`: in the unit of the values. */
  readonly error: "relative" | "absolute";
  /**
   * Relative errors are taken over at least this magnitude [unit of the values], > 0. Needed, and without default,
   * where the target comes down to zero: no straight line follows a curve to zero in relative terms.
   */
  readonly floor?: number;
}

/** A target ready to be read. */
export interface ReadyTarget {
  readonly at: (x: number) => number;
  readonly corners: readonly number[];
  /** True when the target is straight between its corners, so that errors are greatest at corners. */
  readonly straight: boolean;
  readonly quantity: AxisQuantity;
}

export function readyTarget(target: CurveTarget): ReadyTarget {
  if (target.kind === "curve") {
    return {
      at: curveEvaluator(target),
      corners: target.x.values,
      straight: target.between === "straight",
      quantity: target.y.quantity,
    };
  }
  const corners = [...(target.corners ?? [])].sort((a, b) => a - b);
  return { at: target.at, corners, straight: false, quantity: target.quantity };
}

/** What an error at a target value is divided by. */
export function errorScale(measure: ErrorMeasure): (target: number) => number {
  if (measure.error === "absolute") return () => 1;
  const floor = measure.floor === undefined ? 0 : requireNumber(measure.floor, "floor", "1", { over: 0 });
  return (target) => {
    const scale = Math.max(Math.abs(target), floor);
    if (scale > 0) return scale;
    throw new BellmouthError({
      code: "E_DOMAIN",
      message: "a relative error needs a target away from zero, or a floor",
      found: `a target value of ${target}`,
      accepted: "a target of one sign, or the option floor: the least magnitude that counts",
      at: { path: "target" },
    });
  };
}

/** Corners strictly inside a … b, of a rising list. */
export function cornersBetween(corners: readonly number[], a: number, b: number): number[] {
  return corners.filter((x) => x > a && x < b);
}

const GOLDEN = (Math.sqrt(5) - 1) / 2;

/** Place in a … b where a function with one top there is greatest, by golden section (24 readings). */
export function topBetween(value: (x: number) => number, a: number, b: number): number {
  let [low, high] = [a, b];
  let [x1, x2] = [high - GOLDEN * (high - low), low + GOLDEN * (high - low)];
  let [v1, v2] = [value(x1), value(x2)];
  for (let turn = 0; turn < 22; turn++) {
    if (v1 >= v2) {
      high = x2;
      [x2, v2] = [x1, v1];
      x1 = high - GOLDEN * (high - low);
      v1 = value(x1);
    } else {
      low = x1;
      [x1, v1] = [x2, v2];
      x2 = low + GOLDEN * (high - low);
      v2 = value(x2);
    }
  }
  return v1 >= v2 ? x1 : x2;
}

import { BellmouthError, requireNumber } from "../fault/index.js";
import type { AxisQuantity, Curve } from "./curve.js";
import { curveReader } from "./evaluate.js";

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
      at: curveReader(target),
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

/**
 * Places between neighbouring points where a smooth target passes the floor of a relative error: the measure bends
 * there, so they are corners of the error. Found by halving, to the last bits.
 */
export function floorCorners(
  at: (x: number) => number,
  measure: ErrorMeasure,
  points: readonly number[],
): number[] {
  const { floor } = measure;
  if (measure.error === "absolute" || floor === undefined) return [];
  const values = points.map(at);
  return points.flatMap((right, i) =>
    [floor, -floor].flatMap((level) => {
      const left = points[i - 1];
      const before = (values[i - 1] ?? level) - level;
      if (left === undefined || !(before * ((values[i] as number) - level) < 0)) return [];
      let [low, high] = [left, right];
      for (let turn = 0; turn < 50; turn++) {
        const middle = (low + high) / 2;
        if ((at(middle) - level) * before > 0) low = middle;
        else high = middle;
      }
      return [high];
    }),
  );
}

/** Parabolas laid through the best points so far. */
const PARABOLAS = 3;

/**
 * Place of the top of a smooth function near b, which is at least as high as a and c to its left and right: the top of
 * the parabola through three points, three times over, so a few parts in 10^7 of the height after an error of some
 * percent. Returns the best point read.
 */
export function topNear(
  value: (x: number) => number,
  a: number,
  b: number,
  c: number,
): { readonly x: number; readonly value: number } {
  let [x0, x1, x2] = [a, b, c];
  let [y0, y1, y2] = [value(a), value(b), value(c)];
  for (let turn = 0; turn < PARABOLAS; turn++) {
    const left = (x1 - x0) * (y1 - y2);
    const right = (x1 - x2) * (y1 - y0);
    const x = x1 - ((x1 - x0) * left - (x1 - x2) * right) / (2 * (left - right));
    if (!(x > x0 && x < x2) || x === x1) break;
    const y = value(x);
    // The best point stays in the middle of its two neighbours.
    const upper = x > x1;
    if (y > y1) {
      if (upper) [x0, y0] = [x1, y1];
      else [x2, y2] = [x1, y1];
      [x1, y1] = [x, y];
    } else if (upper) [x2, y2] = [x, y];
    else [x0, y0] = [x, y];
  }
  return { x: x1, value: y1 };
}

import type { Curve } from "./curve.js";
import { curveEvaluator } from "./evaluate.js";
import {
  type CurveTarget,
  cornersBetween,
  type ErrorMeasure,
  errorScale,
  readyTarget,
  topBetween,
} from "./target.js";

/** A curve on its way into the device; a stage left out is taken to be the next one. */
export interface ExecutedStages {
  /** Before storage. */
  readonly ideal?: Curve;
  /** Rounded, not clipped. */
  readonly unclipped?: Curve;
  /** As the device holds it and reads it. */
  readonly executed: Curve;
}

/** The executed error at one place. Parts are in the unit of the values and add up to executed - target. */
export interface ErrorAt {
  readonly x: number;
  readonly target: number;
  readonly executed: number;
  /** Executed less target, in the measure asked for: [1] when relative. Negative: reads low. */
  readonly error: number;
  readonly interpolation: number;
  readonly storage: number;
  readonly clipping: number;
}

/** Errors over the part of the axis nearest to one breakpoint. */
export interface CellError {
  readonly x: number;
  /** Where the device reads lowest, and highest, against the target. */
  readonly lowest: ErrorAt;
  readonly highest: ErrorAt;
}

export interface ExecutedError {
  readonly error: "relative" | "absolute";
  readonly cells: readonly CellError[];
  /** The place of the largest error of either sign. */
  readonly worst: ErrorAt;
}

export interface ExecutedErrorOptions extends ErrorMeasure {
  /** Judge from here … to here where that is beyond the breakpoints; else from the first to the last breakpoint. */
  readonly from?: number;
  readonly to?: number;
}

/** Readings between two corners of a target that is not straight, before the top is narrowed down. */
const READINGS = 8;

/**
 * What the device's curve does against the curve it stands for: the greatest errors low and high around each
 * breakpoint, split into interpolation (straight lines against the target), storage (rounding) and clipping.
 *
 * Between two curves of straight lines the extremes lie at corners and are exact; else they are narrowed down from
 * eight readings between corners.
 *
 * @returns errors; parts in the unit of the values
 * @throws `E_DOMAIN` when relative errors meet a target at zero and no floor is given; `E_OUTSIDE` from a refusing curve
 */
export function executedError(
  target: CurveTarget,
  stages: ExecutedStages,
  options: ExecutedErrorOptions,
): ExecutedError {
  const ready = readyTarget(target);
  const scale = errorScale(options);
  const { executed } = stages;
  const unclipped = stages.unclipped ?? executed;
  const ideal = stages.ideal ?? unclipped;
  const read = [executed, unclipped, ideal].map((curve, i, all) =>
    i > 0 && curve === all[i - 1] ? undefined : curveEvaluator(curve),
  );
  const last = read[0] as (x: number) => number;
  const rounded = read[1] ?? last;
  const first = read[2] ?? rounded;
  const errorAt = (x: number): number => {
    const value = ready.at(x);
    return (last(x) - value) / scale(value);
  };
  const partsAt = (x: number): ErrorAt => {
    const value = ready.at(x);
    return {
      x,
      target: value,
      executed: last(x),
      error: errorAt(x),
      interpolation: first(x) - value,
      storage: rounded(x) - first(x),
      clipping: last(x) - rounded(x),
    };
  };
  // A floor makes a relative error bend where the target crosses it.
  const straight = ready.straight && executed.between === "straight" && options.floor === undefined;
  const xs = executed.x.values;
  const cells = xs.map((x, i): CellError => {
    const left = i === 0 ? Math.min(x, options.from ?? x) : ((xs[i - 1] as number) + x) / 2;
    const right = i === xs.length - 1 ? Math.max(x, options.to ?? x) : (x + (xs[i + 1] as number)) / 2;
    const corners = [left, ...cornersBetween(ready.corners, left, right), x, right].sort((a, b) => a - b);
    const points = straight ? corners : withReadings(corners);
    const errors = points.map(errorAt);
    return {
      x,
      lowest: partsAt(topOf(points, errors, -1, straight ? undefined : errorAt)),
      highest: partsAt(topOf(points, errors, 1, straight ? undefined : errorAt)),
    };
  });
  const ends = cells.flatMap((cell) => [cell.lowest, cell.highest]);
  const worst = ends.reduce((a, b) => (Math.abs(b.error) > Math.abs(a.error) ? b : a));
  return { error: options.error, cells, worst };
}

function withReadings(corners: readonly number[]): number[] {
  const points: number[] = [];
  corners.forEach((corner, i) => {
    const left = corners[i - 1];
    if (left !== undefined && corner > left) {
      for (let k = 1; k < READINGS; k++) points.push(left + ((corner - left) * k) / READINGS);
    }
    points.push(corner);
  });
  return points;
}

/** Place of the greatest `sign` times error: the best of the points, narrowed down between its neighbours. */
function topOf(
  points: readonly number[],
  errors: readonly number[],
  sign: 1 | -1,
  errorAt: ((x: number) => number) | undefined,
): number {
  let best = 0;
  errors.forEach((error, i) => {
    if (sign * error > sign * (errors[best] as number)) best = i;
  });
  const point = points[best] as number;
  if (errorAt === undefined) return point;
  const left = points[Math.max(0, best - 1)] as number;
  const right = points[Math.min(points.length - 1, best + 1)] as number;
  const top = topBetween((x) => sign * errorAt(x), left, right);
  return sign * errorAt(top) > sign * (errors[best] as number) ? top : point;
}

import type { Curve } from "./curve.js";
import { curveReader } from "./evaluate.js";
import {
  type CurveTarget,
  cornersBetween,
  type ErrorMeasure,
  errorScale,
  floorCorners,
  readyTarget,
  topNear,
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

/**
 * Readings between two corners of a target that is not straight, before the top is narrowed down. A piece of a cubic
 * has two tops at most; of a function nothing is known, so it is read twice as often.
 */
const READINGS = 4;

/**
 * What the device's curve does against the curve it stands for: the greatest errors low and high around each
 * breakpoint, split into interpolation (straight lines against the target), storage (rounding) and clipping.
 *
 * Between two curves of straight lines the extremes lie at corners and are exact; else they are narrowed down from
 * a few readings between corners by parabolas.
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
  const last = curveReader(executed);
  const rounded = unclipped === executed ? last : curveReader(unclipped);
  const before = ideal === unclipped ? rounded : curveReader(ideal);
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
      interpolation: before(x) - value,
      storage: rounded(x) - before(x),
      clipping: last(x) - rounded(x),
    };
  };
  const straight = ready.straight && executed.between === "straight";
  const xs = executed.x.values;
  // Bounds of the cells: where judging starts, the middles between breakpoints, where it stops.
  const ends = [Math.min(xs[0] as number, options.from ?? Number.POSITIVE_INFINITY), ...middles(xs)];
  ends.push(Math.max(xs[xs.length - 1] as number, options.to ?? Number.NEGATIVE_INFINITY));
  const from = ends[0] as number;
  const to = ends[ends.length - 1] as number;
  const corners = [...ends, ...xs, ...cornersBetween(ready.corners, from, to)].sort((a, b) => a - b);
  const first = withReadings(corners, straight ? 1 : target.kind === "curve" ? READINGS : 2 * READINGS);
  const bends = floorCorners(ready.at, options, first);
  const points = bends.length === 0 ? first : [...first, ...bends].sort((a, b) => a - b);
  const errors = points.map(errorAt);
  let start = 0;
  const cells = xs.map((x, i): CellError => {
    const right = ends[i + 1] as number;
    let end = start;
    while (end + 1 < points.length && (points[end + 1] as number) <= right) end++;
    const range = { points, errors, start, end };
    // A middle belongs to both of its cells.
    start = end;
    const near = straight ? undefined : errorAt;
    return { x, lowest: partsAt(topOf(range, -1, near)), highest: partsAt(topOf(range, 1, near)) };
  });
  const extremes = cells.flatMap((cell) => [cell.lowest, cell.highest]);
  const worst = extremes.reduce((a, b) => (Math.abs(b.error) > Math.abs(a.error) ? b : a));
  return { error: options.error, cells, worst };
}

const middles = (xs: readonly number[]): number[] => xs.slice(1).map((x, i) => ((xs[i] as number) + x) / 2);

/** The corners and `count` - 1 places between each two; equal corners once. */
function withReadings(corners: readonly number[], count: number): number[] {
  const points: number[] = [];
  corners.forEach((corner, i) => {
    const left = corners[i - 1];
    if (left === corner) return;
    if (left !== undefined) {
      for (let k = 1; k < count; k++) points.push(left + ((corner - left) * k) / count);
    }
    points.push(corner);
  });
  return points;
}

interface Readings {
  readonly points: readonly number[];
  readonly errors: readonly number[];
  /** First and last of the points that belong to the cell. */
  readonly start: number;
  readonly end: number;
}

/** Place of the greatest `sign` times error in a cell: the best of its points, or a better place beside it. */
function topOf(range: Readings, sign: 1 | -1, errorAt: ((x: number) => number) | undefined): number {
  const { points, errors, start, end } = range;
  let best = start;
  for (let i = start + 1; i <= end; i++) {
    if (sign * (errors[i] as number) > sign * (errors[best] as number)) best = i;
  }
  const point = points[best] as number;
  const left = points[best - 1];
  const right = points[best + 1];
  if (errorAt === undefined || left === undefined || right === undefined) return point;
  const beyond = Math.max(errors[best - 1] as number, errors[best + 1] as number);
  const below = Math.min(errors[best - 1] as number, errors[best + 1] as number);
  // At the end of a cell the error may go on rising in the next one, which then has the top.
  if (sign > 0 ? beyond > (errors[best] as number) : below < (errors[best] as number)) return point;
  const top = topNear((x) => sign * errorAt(x), left, point, right).x;
  return top >= (points[start] as number) && top <= (points[end] as number) ? top : point;
}

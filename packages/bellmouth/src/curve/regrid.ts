import { type Axis, type Curve, makeCurve, type Outside } from "./curve.js";
import { type ExecutedError, executedError } from "./executed-error.js";
import { type FitRows, leastPower, worstResidual } from "./least-power.js";
import { type LineSamples, minimax } from "./minimax.js";
import type { StorageFormat } from "./storage.js";
import { type CurveStorage, type StoredCurve, storeAxis, storeCurve } from "./store-curve.js";
import {
  type CurveTarget,
  cornersBetween,
  type ErrorMeasure,
  errorScale,
  floorCorners,
  type ReadyTarget,
  readyTarget,
  topNear,
} from "./target.js";

export interface RegridOptions extends ErrorMeasure {
  /** `minimax`: the smallest possible largest executed error. `sample`: the target's own values at the breakpoints. */
  readonly fit: "minimax" | "sample";
  /** What the device does outside the breakpoints. */
  readonly outside: Outside;
  /** How the device stores breakpoints and values; stored exactly when left out. */
  readonly storage?: CurveStorage;
}

export interface Regridded {
  /** The curve before storage of its values, on the breakpoints as stored. */
  readonly ideal: Curve;
  /** As the device holds it, with flags. */
  readonly stored: StoredCurve;
  /** Executed error of the stored curve against the target, from the first to the last breakpoint. */
  readonly executed: ExecutedError;
  /**
   * For `minimax`: no straight lines on these breakpoints have a largest error (before storage) below this, in the
   * measure asked for. For `sample`: 0.
   */
  readonly lowerBound: number;
}

/**
 * Readings inside a segment of a smooth target, and the least between two corners of it: a piece may be short beside the
 * segment and still hold the worst place. Places of larger error are added as they are found.
 */
const READINGS = 8;
const PIECE_READINGS = 3;
const ROUNDS = 6;
/** Places are added until none is worse than those read by more than this part of the error. */
const CLOSE = 1e-6;
/** Share of the worst error from which a top between readings is looked at. */
const NOTABLE = 0.9;
/** How often the way from a breakpoint to the next place is halved in search of a top. */
const HALVINGS = 8;

/** A rising target keeps at least this share of its own rise from breakpoint to breakpoint, */
const KEPT_RISE = 1e-3;
/** and where that is next to nothing, as much as doubles of the curve's size [1] tell apart, out of what it rises. */
const TOLD_APART = 8 * Number.EPSILON;

/**
 * A curve on new breakpoints, joined by straight lines as the device joins them, that stands for the target.
 *
 * `minimax` makes the largest error of the executed lines as small as it can be (see `minimax.ts` for the method and
 * its proof); on a convex curve that is half of the error of sampled values or less. Where the worst place leaves
 * freedom, errors elsewhere are kept small too. Values of a rising (falling) target rise (fall), and values stay in
 * what the storage holds where the target does. It is never worse than `sample`.
 *
 * @param target read by its own rules, also where the new axis goes beyond it
 * @param axis   breakpoints in the unit of the target's x, strictly increasing, at least two
 * @throws `E_ORDER`, `E_SHAPE` on the axis; `E_DOMAIN` when relative errors meet a target at zero without a floor
 * @example
 * const law: TargetLine = { kind: "line", quantity: "mass flow", at: (v) => 0.002 * v ** 4 };
 * const axis: Axis = { quantity: "voltage", values: [1, 2, 3, 4, 5] };
 * const options = { error: "relative", outside: "hold" } as const;
 * regridCurve(law, axis, { fit: "sample", ...options }).executed.worst.error // ≈ 0.9458
 * const fit = regridCurve(law, axis, { fit: "minimax", ...options });
 * Math.abs(fit.executed.worst.error) // ≈ 0.3211
 */
export function regridCurve(target: CurveTarget, axis: Axis, options: RegridOptions): Regridded {
  const ready = readyTarget(target);
  const xs = storeAxis(axis.values, options.storage?.x).values;
  const curveOf = (values: Iterable<number>): Curve =>
    makeCurve({
      x: { quantity: axis.quantity, values: xs },
      y: { quantity: ready.quantity, values: [...values] },
      between: "straight",
      outside: options.outside,
    });
  const sampled = curveOf(xs.map(ready.at));
  let ideal = sampled;
  let lowerBound = 0;
  if (options.fit === "minimax") {
    const fit = fitLines(ready, xs, options, options.storage?.y);
    // Sampling may already be best; never trade it for a last-bit difference.
    if (fit.error < fit.sampledError * (1 - 3 * CLOSE)) ideal = curveOf(fit.values);
    lowerBound = fit.lowerBound;
  }
  const stored = storeCurve(ideal, options.storage?.y === undefined ? {} : { y: options.storage.y });
  const executed = executedError(
    target,
    { ideal, unclipped: stored.unclipped, executed: stored.curve },
    options,
  );
  return { ideal, stored, executed, lowerBound };
}

/** Values at `xs` with the smallest largest error, taking in more readings until no place is worse than those read. */
function fitLines(
  given: ReadyTarget,
  xs: readonly number[],
  measure: ErrorMeasure,
  format: StorageFormat | undefined,
): Fit {
  const scale = errorScale(measure);
  // Every round reads the places of the rounds before it again.
  const read = new Map<number, number>();
  const at = (x: number): number => {
    const known = read.get(x);
    if (known !== undefined) return known;
    const value = given.at(x);
    read.set(x, value);
    return value;
  };
  const target: ReadyTarget = { ...given, at };
  const places = xs.slice(1).map((right, i) => {
    const left = xs[i] as number;
    const corners = cornersBetween(target.corners, left, right);
    const inside = target.straight ? corners : [...corners, ...readingsBetween([left, ...corners, right])];
    inside.sort((a, b) => a - b);
    return [...inside, ...floorCorners(target.at, measure, [left, ...inside, right])];
  });
  let wanted: Float64Array | undefined;
  for (let round = 1; ; round++) {
    const fit = fitAt(target, xs, places, scale, format, wanted);
    wanted = fit.wanted;
    if (target.straight || round === ROUNDS) return fit;
    let added = false;
    places.forEach((inside, i) => {
      const found = worsePlaces(target, xs, i, inside, fit.values, scale, fit.error);
      added ||= found.length > 0;
      inside.push(...found);
    });
    if (!added) return fit;
  }
}

/** Places between the corners of a smooth target, more where they lie far apart. */
function readingsBetween(corners: readonly number[]): number[] {
  const whole = (corners[corners.length - 1] as number) - (corners[0] as number);
  return corners.slice(1).flatMap((right, i) => {
    const left = corners[i] as number;
    const count = Math.max(PIECE_READINGS, Math.round((READINGS * (right - left)) / whole));
    return Array.from({ length: count }, (_, k) => left + ((right - left) * (k + 1)) / (count + 1));
  });
}

/** Places inside segment i where the error is above all that was read. */
function worsePlaces(
  target: ReadyTarget,
  xs: readonly number[],
  i: number,
  inside: readonly number[],
  values: readonly number[],
  scale: (target: number) => number,
  known: number,
): number[] {
  const [x0, x1] = [xs[i] as number, xs[i + 1] as number];
  const [v0, v1] = [values[i] as number, values[i + 1] as number];
  const miss = (x: number): number => {
    const wanted = target.at(x);
    return Math.abs(v0 + ((v1 - v0) / (x1 - x0)) * (x - x0) - wanted) / scale(wanted);
  };
  const points = [x0, ...[...inside].sort((a, b) => a - b), x1];
  const errors = points.map(miss);
  const found: number[] = [];
  const look = (left: number, middle: number, right: number): void => {
    const top = topNear(miss, left, middle, right);
    if (top.value > known * (1 + CLOSE)) found.push(top.x);
  };
  const last = points.length - 1;
  for (let j = 0; j <= last; j++) {
    const error = errors[j] as number;
    // Tops far below the worst cannot become it.
    if (!(error > NOTABLE * known)) continue;
    const [before, after] = [errors[j - 1] ?? 0, errors[j + 1] ?? 0];
    if (!(error >= before && error >= after)) continue;
    const here = points[j] as number;
    if (j > 0 && j < last) look(points[j - 1] as number, here, points[j + 1] as number);
    else {
      // The top may lie just inside of a breakpoint that is worse than the next place.
      let far = points[j === 0 ? 1 : last - 1] as number;
      for (let turn = 0; turn < HALVINGS; turn++) {
        const middle = (here + far) / 2;
        if (miss(middle) >= error) {
          if (here < far) look(here, middle, far);
          else look(far, middle, here);
          break;
        }
        far = middle;
      }
    }
  }
  return found;
}

/** Nearer to a breakpoint than this share of the segment, a place counts as the breakpoint. */
const NEAR = 1e-9;

interface Fit {
  readonly values: readonly number[];
  readonly lowerBound: number;
  /** Largest error of `values` over the places read, and that of sampled values. */
  readonly error: number;
  readonly sampledError: number;
}

function fitAt(
  target: ReadyTarget,
  xs: readonly number[],
  places: readonly (readonly number[])[],
  scale: (target: number) => number,
  format: StorageFormat | undefined,
  wantedBefore: Float64Array | undefined,
): Fit & { readonly wanted: Float64Array } {
  const nodes = xs.map(target.at);
  const start: number[] = [0];
  const share: number[] = [];
  const wanted: number[] = [];
  const unknown: number[] = [0, 1];
  const weight: number[] = [1, 0];
  places.forEach((inside, i) => {
    const [x0, x1] = [xs[i] as number, xs[i + 1] as number];
    for (const x of [...inside].sort((a, b) => a - b)) {
      const part = (x - x0) / (x1 - x0);
      if (!(part > NEAR && part < 1 - NEAR)) continue;
      share.push(part);
      wanted.push(target.at(x));
    }
    share.push(1);
    wanted.push(nodes[i + 1] as number);
    for (const part of share.slice(start[i] as number)) {
      unknown.push(i, i + 1);
      weight.push(1 - part, part);
    }
    start.push(share.length);
  });
  const way = runOf([nodes[0] as number, ...wanted]);
  const scales = wanted.map(scale);
  const firstScale = scale(nodes[0] as number);
  const rows: FitRows = {
    unknowns: xs.length,
    width: 2,
    count: wanted.length + 1,
    unknown,
    weight,
    target: [nodes[0] as number, ...wanted].map((value) => value * (way || 1)),
    scale: [firstScale, ...scales],
  };
  const samples: LineSamples = {
    start,
    share,
    target: rows.target.slice(1),
    scale: scales,
    firstTarget: rows.target[0] as number,
    firstScale,
    range: format === undefined ? undefined : rangeOf(nodes, format, way || 1),
    rise: way === 0 ? undefined : keptRises(nodes, way),
  };
  const sampled = Float64Array.from(nodes, (value) => value * (way || 1));
  // Places added later change the largest error by little: the first even spread serves all rounds.
  const even = wantedBefore ?? leastPower(rows, sampled);
  const sampledError = worstResidual(rows, sampled);
  const fit = minimax(samples, even, worstResidual(rows, even), sampledError);
  const values = Array.from(fit.values, (value) => value * (way || 1));
  const error = worstResidual(rows, fit.values);
  return { values, lowerBound: fit.lowerBound, error, sampledError, wanted: even };
}

/** Least rise from each breakpoint to the next. */
function keptRises(nodes: readonly number[], way: number): readonly number[] {
  const least = TOLD_APART * nodes.reduce((most, node) => Math.max(most, Math.abs(node)), 0);
  return nodes.slice(1).map((node, i) => {
    const own = way * (node - (nodes[i] as number));
    return Math.min(own, Math.max(KEPT_RISE * own, least));
  });
}

/** What the format holds, widened where the target itself is outside: there clipping cannot be avoided. */
function rangeOf(
  nodes: readonly number[],
  format: StorageFormat,
  sign: number,
): { readonly least: readonly number[]; readonly most: readonly number[] } {
  const [low, high] = [sign * format.from, sign * format.to].sort((a, b) => a - b) as [number, number];
  return {
    least: nodes.map((node) => Math.min(low, sign * node)),
    most: nodes.map((node) => Math.max(high, sign * node)),
  };
}

/** 1 when a list never falls, -1 when it never rises, 0 when it does both or neither. */
function runOf(values: readonly number[]): 1 | -1 | 0 {
  const falls = values.some((value, i) => i > 0 && value < (values[i - 1] as number));
  const rises = values.some((value, i) => i > 0 && value > (values[i - 1] as number));
  return falls === rises ? 0 : rises ? 1 : -1;
}

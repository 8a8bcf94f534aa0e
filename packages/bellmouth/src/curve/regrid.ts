import { type Axis, type Curve, makeCurve, type Outside } from "./curve.js";
import { type ExecutedError, executedError } from "./executed-error.js";
import { type LineSamples, minimax, segmentErrors } from "./minimax.js";
import { quantise, type StorageFormat } from "./storage.js";
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
  /**
   * `minimax`: the smallest possible largest executed error, no segment worse than sampled. `sample`: the target's own
   * values at the breakpoints.
   */
  readonly fit: "minimax" | "sample";
  /**
   * `false`: a segment of a `minimax` fit may become worse than sampled where that makes the worst one better still. Else
   * no segment does.
   */
  readonly nowhereWorse?: boolean;
  /** Least value that may be written, where the target's own values there are not below it [unit of the values]. */
  readonly least?: number;
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
   * For `minimax`: no straight lines on these breakpoints that keep to the options have a largest error (before storage)
   * below this, in the measure asked for. For `sample`: 0.
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
/** Segments below this share of the worst one need no places of their own. */
const NOTABLE_SEGMENT = 1e-3;
/** How often the way from a breakpoint to the next place is halved in search of a top. */
const HALVINGS = 8;

/** A rising target keeps at least this share of its own rise from breakpoint to breakpoint, */
const KEPT_RISE = 1e-3;
/** and where that is next to nothing, as much as doubles of the curve's size [1] tell apart, out of what it rises. */
const TOLD_APART = 8 * Number.EPSILON;

/**
 * A curve on new breakpoints, joined by straight lines as the device joins them, that stands for the target.
 *
 * `minimax` makes the largest error of the executed lines as small as it can be, then that of the next worst segment,
 * and so on (see `minimax.ts` for the method and its proof). No segment is worse than with sampled values as stored,
 * but for the half step that storing moves a value. Values of a rising (falling) target rise (fall), by a storage step
 * or more where the format has room, and values stay in what the storage holds where the target does.
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
 * Math.abs(fit.executed.worst.error) // ≈ 0.3844
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
    const fit = fitLines(ready, xs, options);
    // Sampling may already be best; never trade it for a last-bit difference.
    if (fit.errors.some((error, i) => error < (fit.sampledErrors[i] as number) * (1 - 3 * CLOSE))) {
      ideal = curveOf(fit.values);
    }
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

/** Values at `xs` with the smallest errors, taking in more readings until no segment is worse than those read in it. */
function fitLines(given: ReadyTarget, xs: readonly number[], options: RegridOptions): Fit {
  const scale = errorScale(options);
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
    return [...inside, ...floorCorners(target.at, options, [left, ...inside, right])];
  });
  for (let round = 1; ; round++) {
    const fit = fitAt(target, xs, places, scale, options);
    if (target.straight || round === ROUNDS) return fit;
    let added = false;
    const largest = fit.errors.reduce((most, error) => Math.max(most, error), 0);
    places.forEach((inside, i) => {
      const least = NOTABLE_SEGMENT * largest;
      const found = worsePlaces(
        target,
        xs,
        i,
        inside,
        fit.values,
        scale,
        Math.max(fit.errors[i] as number, least),
      );
      // What the fit may not exceed must be known as well.
      const sampled = Math.max(fit.sampledErrors[i] as number, least);
      found.push(...worsePlaces(target, xs, i, inside, fit.sampled, scale, sampled));
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
  /** The target's own values, as stored. */
  readonly sampled: readonly number[];
  readonly lowerBound: number;
  /** Largest error in each segment over the places read: of `values`, and of sampled values. */
  readonly errors: Float64Array;
  readonly sampledErrors: Float64Array;
}

function fitAt(
  target: ReadyTarget,
  xs: readonly number[],
  places: readonly (readonly number[])[],
  scale: (target: number) => number,
  options: RegridOptions,
): Fit {
  const nodes = xs.map(target.at);
  const start: number[] = [0];
  const share: number[] = [];
  const wanted: number[] = [];
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
    start.push(share.length);
  });
  const way = runOf([nodes[0] as number, ...wanted]);
  const sign = way || 1;
  const format = options.storage?.y;
  // Sampled values as the device would hold them are within reach; clipping is counted apart.
  const held =
    format === undefined
      ? nodes
      : quantise(nodes, format, {
          keep: way === 0 ? "nothing" : way > 0 ? "increasing" : "decreasing",
        }).unclipped;
  const anchor = Float64Array.from(held, (value) => value * sign);
  const samples: LineSamples = {
    start,
    share,
    target: wanted.map((value) => value * sign),
    scale: wanted.map(scale),
    firstTarget: (nodes[0] as number) * sign,
    firstScale: scale(nodes[0] as number),
    range: rangeOf(anchor, format, options.least, sign),
    rise: way === 0 ? undefined : keptRises(nodes, anchor, way, format?.step),
  };
  const fit = minimax(samples, anchor, options.nowhereWorse ?? true);
  return {
    values: Array.from(fit.values, (value) => value * sign + 0),
    sampled: held,
    lowerBound: fit.lowerBound,
    errors: segmentErrors(samples, fit.values),
    sampledErrors: segmentErrors(samples, anchor),
  };
}

/** Least rise from each breakpoint to the next: a storage step, or a part of the target's own where none is given. */
function keptRises(
  nodes: readonly number[],
  anchor: Float64Array,
  way: number,
  step: number | undefined,
): readonly number[] {
  const least = TOLD_APART * nodes.reduce((most, node) => Math.max(most, Math.abs(node)), 0);
  return nodes.slice(1).map((node, i) => {
    const own = way * (node - (nodes[i] as number));
    const held = (anchor[i + 1] as number) - (anchor[i] as number);
    // Held values that are a step apart are so up to rounding.
    if (step !== undefined) return Math.min(held, step * (1 - 1e-9));
    return Math.min(own, Math.max(KEPT_RISE * own, least));
  });
}

/** What may be written, widened where the sampled values themselves are outside: there clipping cannot be avoided. */
function rangeOf(
  anchor: Float64Array,
  format: StorageFormat | undefined,
  lowest: number | undefined,
  sign: number,
): { readonly least: readonly number[]; readonly most: readonly number[] } | undefined {
  if (format === undefined && lowest === undefined) return undefined;
  const from = Math.max(format?.from ?? Number.NEGATIVE_INFINITY, lowest ?? Number.NEGATIVE_INFINITY);
  const to = format?.to ?? Number.POSITIVE_INFINITY;
  const [low, high] = sign > 0 ? [from, to] : [-to, -from];
  return {
    least: Array.from(anchor, (value) => Math.min(low, value)),
    most: Array.from(anchor, (value) => Math.max(high, value)),
  };
}

/** 1 when a list never falls, -1 when it never rises, 0 when it does both or neither. */
function runOf(values: readonly number[]): 1 | -1 | 0 {
  const falls = values.some((value, i) => i > 0 && value < (values[i - 1] as number));
  const rises = values.some((value, i) => i > 0 && value > (values[i - 1] as number));
  return falls === rises ? 0 : rises ? 1 : -1;
}

import { requireNumber } from "../fault/index.js";
import { type CurveTarget, type ErrorMeasure, errorScale, readyTarget } from "./target.js";

/** Where breakpoints may stand. */
export interface BreakpointSpan extends ErrorMeasure {
  /** First and last breakpoint, in the unit of the target's x. */
  readonly from: number;
  readonly to: number;
  /** How many, both ends included; 2 … 4096. */
  readonly count: number;
}

/** Readings inside a segment. */
const READINGS = 15;
const TURNS = 80;
/** Errors of the segments this near to each other [1] count as equal. */
const EQUAL = 0.01;
/** A straight part of the target still gets this share of the mean density, so that no two ends lie on one place. */
const LEAST_DENSITY = 0.02;
/** Breakpoints are rounded to a decimal step of at most this part of the narrowest segment. */
const ROUNDED = 0.02;

/**
 * Breakpoints on which straight lines follow a target with the same error in every segment, which makes the largest one
 * as small as it can be. The error of a line over a short segment grows with its length squared, so each turn gives every
 * segment a length by the root of its error. Inner breakpoints are rounded to a decimal step that is small beside
 * the narrowest segment, since they are typed in.
 *
 * @param target one that bends, in relative terms or absolute as `span.error` says
 * @throws `E_DOMAIN` on an empty span, a count out of range, or relative errors of a target at zero without a floor
 * @source equal errors of the segments: C. de Boor, A Practical Guide to Splines (1978), ch. III and XII
 * @example
 * const square: TargetLine = { kind: "line", quantity: "mass flow", at: (v) => v * v };
 * placeBreakpoints(square, { from: 1, to: 16, count: 5, error: "relative" })[2] // ≈ 4
 */
export function placeBreakpoints(target: CurveTarget, span: BreakpointSpan): readonly number[] {
  const from = requireNumber(span.from, "span.from", "1");
  const to = requireNumber(span.to, "span.to", "1", { over: from });
  const count = Math.trunc(requireNumber(span.count, "span.count", "1", { from: 2, to: 4096 }));
  const { at } = readyTarget(target);
  const scale = errorScale(span);
  let xs = Array.from({ length: count }, (_, i) => from + ((to - from) * i) / (count - 1));
  for (let turn = 0; turn < TURNS; turn++) {
    const errors = xs.slice(1).map((right, i) => chordError(at, scale, xs[i] as number, right));
    const [least, most] = errors.reduce(
      ([low, high], error) => [Math.min(low, error), Math.max(high, error)],
      [Number.POSITIVE_INFINITY, 0],
    );
    if (!(most > 0) || most <= least * (1 + EQUAL)) break;
    xs = spreadEvenly(
      xs,
      errors.map((error) => Math.sqrt(error)),
    );
  }
  return rounded(xs);
}

/** Largest scaled distance between a target and its chord. */
function chordError(
  at: (x: number) => number,
  scale: (target: number) => number,
  left: number,
  right: number,
): number {
  const [first, last] = [at(left), at(right)];
  let worst = 0;
  for (let k = 1; k <= READINGS; k++) {
    const share = k / (READINGS + 1);
    const value = at(left + share * (right - left));
    worst = Math.max(worst, Math.abs(first + share * (last - first) - value) / scale(value));
  }
  return worst;
}

/** Places that part the summed weight of the segments evenly; the weight of a segment lies evenly over it. */
function spreadEvenly(xs: readonly number[], weights: readonly number[]): number[] {
  const mean = weights.reduce((sum, weight) => sum + weight, 0) / weights.length;
  const sums = [0];
  for (const weight of weights) sums.push((sums.at(-1) as number) + Math.max(weight, LEAST_DENSITY * mean));
  const whole = sums.at(-1) as number;
  let k = 0;
  return xs.map((x, i) => {
    if (i === 0 || i === xs.length - 1) return x;
    const wanted = (whole * i) / (xs.length - 1);
    while ((sums[k + 1] as number) < wanted) k++;
    const share = (wanted - (sums[k] as number)) / ((sums[k + 1] as number) - (sums[k] as number));
    return (xs[k] as number) + share * ((xs[k + 1] as number) - (xs[k] as number));
  });
}

function rounded(xs: readonly number[]): readonly number[] {
  const narrowest = xs.reduce(
    (least, x, i) => (i === 0 ? least : Math.min(least, x - (xs[i - 1] as number))),
    Number.POSITIVE_INFINITY,
  );
  const power = Math.floor(Math.log10(narrowest * ROUNDED));
  return xs.map((x, i) => {
    if (i === 0 || i === xs.length - 1) return x;
    // Through text: 3 * 10^-1 is a last bit off 0.3.
    return Number(`${Math.round(Number(`${x}e${-power}`))}e${power}`);
  });
}

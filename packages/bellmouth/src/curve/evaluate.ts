import { BellmouthError } from "../fault/index.js";
import type { Curve } from "./curve.js";
import { halve, indexKnots, type KnotIndex, locate } from "./knot-index.js";
import { endSlope, type Piece, pieceOf } from "./pieces.js";

/** A curve made ready for many readings. Treat it as opaque and never change its arrays. */
export interface PreparedCurve {
  readonly kind: "prepared curve";
  /** The curve that is read: for an inverse, the curve that was inverted. */
  readonly curve: Curve;
  readonly index: KnotIndex;
  /** How a reading is computed: a line, a cubic, or the root of a cubic (inverse of a monotone cubic). */
  readonly method: "line" | "cubic" | "root";
  /** Value at each knot. */
  readonly values: Float64Array;
  /** Polynomial of each segment, as in `pieceOf`. */
  readonly b: Float64Array;
  readonly c: Float64Array;
  readonly d: Float64Array;
  /** Slopes outside the first and last knots (0 when the device holds the end value). */
  readonly below: number;
  readonly above: number;
  /** For `root`: the cubic whose value is sought. */
  readonly forward?: PreparedCurve;
}

/** How many points of a batch lay where. Points that are missing (NaN) give NaN. */
export interface BatchCounts {
  /** Points below the first breakpoint. */
  readonly below: number;
  /** Points above the last breakpoint. */
  readonly above: number;
  /** Points that were NaN. */
  readonly missing: number;
}

export function refuse(x: number, first: number, last: number, path: string): never {
  throw new BellmouthError({
    code: "E_OUTSIDE",
    message: "the curve is not defined outside its breakpoints",
    found: `${x}`,
    accepted: `${first} to ${last}`,
    at: { path },
  });
}

/** Rounding must not carry a cubic past the values at its ends. */
const clamp = (value: number, a: number, b: number): number =>
  Math.min(Math.max(value, Math.min(a, b)), Math.max(a, b));

/**
 * Value of a curve at x, as the device that reads the curve computes it.
 *
 * Breakpoints are reproduced exactly; between them the value never leaves the range of its two neighbours. Outside
 * them the curve's own rule applies; `extend` carries on the end segment's line (a monotone cubic: its tangent).
 * For many points use `curveEvaluator` or `evaluateInto`, which return the same bits faster.
 *
 * @param x in the unit of the curve's x axis; NaN (a missing sample) gives NaN
 * @returns value in the unit of the curve's y axis
 * @throws `E_OUTSIDE` when the curve refuses to be read outside its breakpoints and x is
 * @example
 * const curve = makeCurve({
 *   x: { quantity: "voltage", values: [1, 2, 4] },
 *   y: { quantity: "mass flow", values: [0.004, 0.02, 0.18] },
 *   between: "straight",
 *   outside: "hold",
 * });
 * evaluateCurve(curve, 3) // ≈ 0.1
 * evaluateCurve(curve, 9) // ≈ 0.18
 */
export function evaluateCurve(curve: Curve, x: number): number {
  return read(curve, x, pieceOf);
}

/**
 * Reads a curve a few hundred times, for which preparing it would cost more than it saves: pieces are computed when
 * they are first met. The same bits as `evaluateCurve`.
 */
export function curveReader(curve: Curve): (x: number) => number {
  const known: Piece[] = [];
  const pieceAt = (_: Curve, k: number): Piece => {
    known[k] ??= pieceOf(curve, k);
    return known[k] as Piece;
  };
  return (x) => read(curve, x, pieceAt);
}

function read(curve: Curve, x: number, pieceAt: (curve: Curve, k: number) => Piece): number {
  const xs = curve.x.values;
  const ys = curve.y.values;
  const n = xs.length;
  const first = xs[0] as number;
  const last = xs[n - 1] as number;
  if (x >= first && x <= last) {
    const k = halve(xs, x, 0, n - 1);
    const y = ys[k] as number;
    if (k === n - 1) return y;
    const { b, c, d } = pieceAt(curve, k);
    const t = x - (xs[k] as number);
    if (curve.between === "straight") return y + b * t;
    const u = t / ((xs[k + 1] as number) - (xs[k] as number));
    return clamp(y + u * (b + u * (c + u * d)), y, ys[k + 1] as number);
  }
  if (Number.isNaN(x)) return Number.NaN;
  if (curve.outside === "refuse") refuse(x, first, last, "x");
  const end = x < first ? 0 : n - 1;
  const y = ys[end] as number;
  if (curve.outside === "hold") return y;
  return y + endSlope(curve, end) * (x - (xs[end] as number));
}

/** Makes a curve ready for many readings; about 20 µs for 128 breakpoints. */
export function prepareCurve(curve: Curve): PreparedCurve {
  const n = curve.x.values.length;
  const [b, c, d] = [new Float64Array(n), new Float64Array(n), new Float64Array(n)];
  for (let k = 0; k < n - 1; k++) {
    const piece = pieceOf(curve, k);
    b[k] = piece.b;
    c[k] = piece.c;
    d[k] = piece.d;
  }
  const extend = curve.outside === "extend";
  return {
    kind: "prepared curve",
    curve,
    index: indexKnots(curve.x.values),
    method: curve.between === "straight" ? "line" : "cubic",
    values: Float64Array.from(curve.y.values),
    b,
    c,
    d,
    below: extend ? endSlope(curve, 0) : 0,
    above: extend ? endSlope(curve, n - 1) : 0,
  };
}

function outsideValue(prepared: PreparedCurve, x: number, path: string): number {
  const { curve, index, values } = prepared;
  if (Number.isNaN(x)) return Number.NaN;
  if (curve.outside === "refuse") refuse(x, index.first, index.last, path);
  const low = x < index.first;
  const y = (low ? values[0] : values[values.length - 1]) as number;
  // Not `y + 0 * distance`: an infinite distance would make a NaN.
  if (curve.outside === "hold") return y;
  return low ? y + prepared.below * (x - index.first) : y + prepared.above * (x - index.last);
}

function insideValue(prepared: PreparedCurve, k: number, x: number): number {
  const { values, b, c, d } = prepared;
  const y = values[k] as number;
  const t = x - (prepared.index.knots[k] as number);
  if (prepared.method === "line") return y + (b[k] as number) * t;
  if (k === values.length - 1) return y;
  if (prepared.forward !== undefined) return rootValue(prepared, prepared.forward, k, x);
  const { knots } = prepared.index;
  const u = t / ((knots[k + 1] as number) - (knots[k] as number));
  const cubic = y + u * ((b[k] as number) + u * ((c[k] as number) + u * (d[k] as number)));
  return clamp(cubic, y, values[k + 1] as number);
}

/** Where the cubic `forward` reaches `target`, which lies between values k and k + 1 of the exchanged lines. */
function rootValue(prepared: PreparedCurve, forward: PreparedCurve, k: number, target: number): number {
  const { knots } = prepared.index;
  const n = knots.length;
  if (target === knots[k]) return prepared.values[k] as number;
  const rising = (forward.values[1] as number) > (forward.values[0] as number);
  const segment = rising ? k : n - 2 - k;
  const x0 = forward.index.knots[segment] as number;
  const y0 = forward.values[segment] as number;
  const [b, c, d] = [forward.b[segment], forward.c[segment], forward.d[segment]] as [number, number, number];
  // Newton's method inside a bracket that always holds the root; halving when a step would leave it.
  let low = 0;
  let high = 1;
  let u = (target - y0) / ((forward.values[segment + 1] as number) - y0);
  for (let turn = 0; turn < 100; turn++) {
    const miss = y0 + u * (b + u * (c + u * d)) - target;
    if (miss === 0) break;
    if (miss > 0 === rising) high = u;
    else low = u;
    let next = u - miss / (b + u * (2 * c + 3 * u * d));
    if (!(next > low && next < high)) next = low + (high - low) / 2;
    if (!(Math.abs(next - u) > Number.EPSILON / 2)) break;
    u = next;
  }
  const x1 = forward.index.knots[segment + 1] as number;
  return clamp(x0 + u * (x1 - x0), x0, x1);
}

/**
 * Value of a prepared curve at x, each in the unit of its axis: the same bits as `evaluateCurve`.
 *
 * @throws `E_OUTSIDE` as `evaluateCurve`
 */
export function evaluatePrepared(prepared: PreparedCurve, x: number): number {
  const { index } = prepared;
  if (!(x >= index.first && x <= index.last)) return outsideValue(prepared, x, "x");
  return insideValue(prepared, locate(index, x), x);
}

/** Readings after which preparing a curve pays. */
const MANY = 1000;

/**
 * The function that reads a curve: the same bits as `evaluateCurve`, in a few nanoseconds once it has been called
 * often enough for preparing the curve to pay.
 *
 * @returns function of x in the unit of the curve's x axis, to the unit of its y axis
 * @throws (the returned function) `E_OUTSIDE` as `evaluateCurve`
 */
export function curveEvaluator(curve: Curve): (x: number) => number {
  const reader = curveReader(curve);
  let prepared: PreparedCurve | undefined;
  let calls = 0;
  return (x) => {
    if (prepared !== undefined) return evaluatePrepared(prepared, x);
    calls++;
    if (calls > MANY) prepared = prepareCurve(curve);
    return reader(x);
  };
}

/**
 * Reads a prepared curve at every point of `xs` into `out`: the same bits as `evaluateCurve`, without allocating.
 *
 * @param prepared from `prepareCurve`
 * @param xs  points in the unit of the x axis, in any order; NaN gives NaN
 * @param out receives the values; at least as long as `xs`, and may be `xs` itself
 * @returns how many points lay below, above, and were missing
 * @throws `E_SHAPE` when `out` is too short, `E_OUTSIDE` (naming the point) as `evaluateCurve`
 */
export function evaluateInto(prepared: PreparedCurve, xs: Float64Array, out: Float64Array): BatchCounts {
  if (!(out.length >= xs.length)) {
    throw new BellmouthError({
      code: "E_SHAPE",
      message: "the output is shorter than the input",
      found: `${out.length} places for ${xs.length} points`,
      accepted: "an output at least as long as the input",
      at: { path: "out" },
    });
  }
  const counts = { below: 0, above: 0, missing: 0 };
  const fast = prepared.index.even ? readEvenLines : readLines;
  const done = prepared.method === "line" ? fast(prepared, xs, out, counts) : 0;
  readEach(prepared, xs, out, done, xs.length, counts);
  return counts;
}

type Counts = { -readonly [name in keyof BatchCounts]: number };

function readEach(
  prepared: PreparedCurve,
  xs: Float64Array,
  out: Float64Array,
  from: number,
  to: number,
  counts: Counts,
): void {
  const { index } = prepared;
  for (let i = from; i < to; i++) {
    const x = xs[i] as number;
    if (x >= index.first && x <= index.last) {
      out[i] = insideValue(prepared, locate(index, x), x);
      continue;
    }
    out[i] = outsideValue(prepared, x, `xs[${i}]`);
    if (x < index.first) counts.below++;
    else if (x > index.last) counts.above++;
    else counts.missing++;
  }
}

/**
 * Four points at a time, because a processor works on independent points side by side: about a third faster than one
 * by one. Returns how many points were read.
 */
function readLines(prepared: PreparedCurve, xs: Float64Array, out: Float64Array, counts: Counts): number {
  const { index, values, b } = prepared;
  const { knots, buckets, first, last, scale } = index;
  let i = 0;
  for (; i + 3 < xs.length; i += 4) {
    const x0 = xs[i] as number;
    const x1 = xs[i + 1] as number;
    const x2 = xs[i + 2] as number;
    const x3 = xs[i + 3] as number;
    // Written out: a function here would keep first and last outside the registers.
    if (
      !(x0 >= first && x0 <= last && x1 >= first && x1 <= last) ||
      !(x2 >= first && x2 <= last && x3 >= first && x3 <= last)
    ) {
      readEach(prepared, xs, out, i, i + 4, counts);
      continue;
    }
    const k0 = buckets[((x0 - first) * scale) | 0] as number;
    const k1 = buckets[((x1 - first) * scale) | 0] as number;
    const k2 = buckets[((x2 - first) * scale) | 0] as number;
    const k3 = buckets[((x3 - first) * scale) | 0] as number;
    const t0 = x0 - (knots[k0] as number);
    const t1 = x1 - (knots[k1] as number);
    const t2 = x2 - (knots[k2] as number);
    const t3 = x3 - (knots[k3] as number);
    if (!(t0 >= 0 && t1 >= 0 && t2 >= 0 && t3 >= 0)) {
      // A breakpoint inside the bucket and above its point: rare.
      readEach(prepared, xs, out, i, i + 4, counts);
      continue;
    }
    out[i] = (values[k0] as number) + (b[k0] as number) * t0;
    out[i + 1] = (values[k1] as number) + (b[k1] as number) * t1;
    out[i + 2] = (values[k2] as number) + (b[k2] as number) * t2;
    out[i + 3] = (values[k3] as number) + (b[k3] as number) * t3;
  }
  return i;
}

/**
 * `readLines` where the breakpoints are even: the bucket is the segment, which saves a tenth. A loop of its own, because one loop that asks
 * at every point costs the tenth again (tests/bench/curve.bench.mjs).
 */
function readEvenLines(prepared: PreparedCurve, xs: Float64Array, out: Float64Array, counts: Counts): number {
  const { index, values, b } = prepared;
  const { knots, first, last, scale } = index;
  let i = 0;
  for (; i + 3 < xs.length; i += 4) {
    const x0 = xs[i] as number;
    const x1 = xs[i + 1] as number;
    const x2 = xs[i + 2] as number;
    const x3 = xs[i + 3] as number;
    if (
      !(x0 >= first && x0 <= last && x1 >= first && x1 <= last) ||
      !(x2 >= first && x2 <= last && x3 >= first && x3 <= last)
    ) {
      readEach(prepared, xs, out, i, i + 4, counts);
      continue;
    }
    const k0 = ((x0 - first) * scale) | 0;
    const k1 = ((x1 - first) * scale) | 0;
    const k2 = ((x2 - first) * scale) | 0;
    const k3 = ((x3 - first) * scale) | 0;
    const t0 = x0 - (knots[k0] as number);
    const t1 = x1 - (knots[k1] as number);
    const t2 = x2 - (knots[k2] as number);
    const t3 = x3 - (knots[k3] as number);
    if (!(t0 >= 0 && t1 >= 0 && t2 >= 0 && t3 >= 0)) {
      // Rounded up into the next segment: rare.
      readEach(prepared, xs, out, i, i + 4, counts);
      continue;
    }
    out[i] = (values[k0] as number) + (b[k0] as number) * t0;
    out[i + 1] = (values[k1] as number) + (b[k1] as number) * t1;
    out[i + 2] = (values[k2] as number) + (b[k2] as number) * t2;
    out[i + 3] = (values[k3] as number) + (b[k3] as number) * t3;
  }
  return i;
}

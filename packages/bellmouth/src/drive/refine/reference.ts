import { curveEvaluator, makeCurve } from "../../curve/index.js";
import type { TransferCurve } from "../../sensor/index.js";

/** Knots on which the unknown curve stands, even in ln flow (chosen, see docs/decisions/0008: 48 cover too little, 64 nearly as 96). */
export const knotCount = 96;

/**
 * The curve that an error is told against: smooth through a table's cells, never its chords, which leave scallops of some
 * percent that no smooth prior holds. Plain data: its values at the knots.
 */
export interface ReferenceKnots {
  /** [Hz] or [V], increasing */
  readonly signal: readonly number[];
  /** [kg/s], even in ln flow */
  readonly flow: readonly number[];
}

/** A reference that can be read anywhere. */
export interface Reference {
  readonly knots: ReferenceKnots;
  /** ln flow of the knots [1]. */
  readonly x: Float64Array;
  /** ln reference flow [1] at a signal; held past the ends. */
  lnFlow(signal: number): number;
}

/** Flow under which nothing is told apart, over a table's least flow above zero [1]. */
const belowLeast = 0.5;

/** References by table: a long log asks for the same one at every piece. */
const made = new WeakMap<TransferCurve, Reference>();

/**
 * The reference through a table: monotone cubic in ln flow over ln signal (over the signal where one is 0); a cell at no flow is
 * joined by the straight line that the ECU executes, down to half of the least flow.
 */
export function referenceOf(curve: TransferCurve): Reference {
  const reference = made.get(curve) ?? referenceThrough(curve);
  made.set(curve, reference);
  return reference;
}

function referenceThrough(curve: TransferCurve): Reference {
  const cells = curve.cells.filter(({ flow }) => flow > 0);
  if (cells.length < 2) return twoCells(curve);
  const first = cells[0]!;
  const last = cells.at(-1)!;
  const zero = curve.cells[0]!.flow > 0 ? null : curve.cells[0]!;
  const along = first.signal > 0 ? Math.log : (signal: number): number => signal;
  const smooth = curveEvaluator(
    makeCurve({
      x: { quantity: "ratio", values: cells.map(({ signal }) => along(signal)) },
      y: { quantity: "ratio", values: cells.map(({ flow }) => Math.log(flow)) },
      between: "monotone cubic",
      outside: "hold",
    }),
  );
  const floor = Math.log((zero === null ? 1 : belowLeast) * first.flow);
  const slope = zero === null ? 0 : first.flow / (first.signal - zero.signal);
  const lnFlow = (signal: number): number => {
    if (signal >= first.signal) return smooth(along(Math.min(signal, last.signal)));
    return zero === null
      ? floor
      : Math.max(floor, Math.log(Math.max(1e-300, slope * (signal - zero.signal))));
  };
  return withKnots(
    lnFlow,
    floor,
    Math.log(last.flow),
    zero === null ? first.signal : zero.signal,
    last.signal,
  );
}

/** Two cells of which one is at no flow: the ECU's own line. */
function twoCells(curve: TransferCurve): Reference {
  const [low, high] = [curve.cells[0]!, curve.cells.at(-1)!];
  const floor = Math.log(belowLeast * high.flow);
  const share = (signal: number): number => (signal - low.signal) / (high.signal - low.signal);
  const lnFlow = (signal: number): number =>
    Math.max(floor, Math.log(high.flow * Math.min(1, Math.max(1e-300, share(signal)))));
  return withKnots(lnFlow, floor, Math.log(high.flow), low.signal, high.signal);
}

function withKnots(
  lnFlow: (signal: number) => number,
  from: number,
  to: number,
  least: number,
  most: number,
): Reference {
  const x = Float64Array.from({ length: knotCount }, (_, k) => from + ((to - from) * k) / (knotCount - 1));
  const signal = Array.from(x, (value) => {
    let [low, high] = [least, most];
    for (let round = 0; round < 60; round++) {
      const middle = 0.5 * (low + high);
      if (lnFlow(middle) < value) low = middle;
      else high = middle;
    }
    return 0.5 * (low + high);
  });
  return { knots: { signal, flow: Array.from(x, Math.exp) }, x, lnFlow };
}

/** A place among even knots: the left knot and the share of the way to the next [1]. */
export function placeAmong(x: Float64Array, at: number): { readonly left: number; readonly share: number } {
  const last = x.length - 1;
  const along = Math.min(last, Math.max(0, ((at - x[0]!) / (x[last]! - x[0]!)) * last));
  const left = Math.min(last - 1, Math.floor(along));
  return { left, share: along - left };
}

/** A curve on the knots, read at a place by straight lines in ln flow. */
export function readAt(values: ArrayLike<number>, x: Float64Array, at: number): number {
  const { left, share } = placeAmong(x, at);
  return (1 - share) * values[left]! + share * values[left + 1]!;
}

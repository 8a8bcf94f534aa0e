import { type EntryFlow, entryParts } from "../profile/entry.js";
import { developedFactor, type Span } from "../profile/factor.js";
import { laminarFactor } from "../profile/shape.js";

// What an element answers to is the mass flux at its place. In the logarithm, and less the duct's constants, that is
// F(x) = x + ln kappa(x) with x = ln Re. In a short housing F rises steadily, its slope 0.83 or more to 10 diameters and
// 0.44 at 40. On the axis of a LONG pipe F falls between about Re 2,200 and 2,550: more flow, but a flatter profile, so
// less velocity in the middle (the 1951 data show 11.6 ft/s at Re 2,190 and 10.7 at 2,550). There one signal belongs to
// three flows and no table can tell them apart. F is levelled over that fold by the line of least slope that keeps the
// area under it (what isotonic regression does), so that a rescale has one answer, increasing, and exactly undone by the
// way back; `factorDoubt` takes what was levelled into the error budget.

/**
 * Least slope d ln(flux) / d ln(flow) that is kept [1]. A choice: meters' own tables rise steadily through here, so an
 * installed meter shows less of the fold than a pipe with a long calm run; at 0.3 the law leaves the pipe's by at most
 * 7.5 %, between Re 1,850 and 3,100, well inside what is unsure there.
 */
const LEAST_SLOPE = 0.3;
const GRID = 200;
const GRID_FROM = Math.log(800);
const GRID_STEP = Math.log(10) / GRID; // to Re 8,000; beyond, the slope is 0.9 or more

/** Local flux of one housing as a function of ln Re, strictly increasing. */
export interface FluxLaw {
  /** ln of (flux over mean flux, times Re) at ln Re = x; -Infinity at no flow */
  readonly at: (x: number) => number;
  /** The x with at(x) = y. */
  readonly solve: (y: number) => number;
  /** ln of the profile factor itself, not levelled. */
  readonly factorAt: (x: number) => number;
  /** Range of x levelled, if any. */
  readonly fold: readonly [from: number, to: number] | undefined;
}

/** Finds the fold of `f`, as the two ends of the levelling line. */
function findFold(f: (x: number) => number): readonly [number, number] | undefined {
  const h: number[] = [];
  let top = -1;
  let bottom = -1;
  for (let i = 0; i <= GRID; i++) {
    const x = GRID_FROM + i * GRID_STEP;
    const value = f(x) - LEAST_SLOPE * x;
    h.push(value);
    if (i > 0 && value < (h[i - 1] as number)) {
      if (top < 0) top = i - 1;
      bottom = i;
    }
  }
  if (top < 0) return undefined;
  // The level between the fold's bottom and top that cuts off as much above as it fills below.
  let low = h[bottom] as number;
  let high = h[top] as number;
  let from = top;
  let to = bottom;
  for (let k = 0; k < 50; k++) {
    const level = (low + high) / 2;
    let area = 0;
    let i = top;
    for (; i > 0 && (h[i] as number) > level; i--) area += (h[i] as number) - level;
    const left = ((h[i + 1] as number) - level) / ((h[i + 1] as number) - (h[i] as number));
    from = i + 1 - left;
    let j = top + 1;
    for (; j < GRID && ((h[j] as number) < level || j < bottom); j++) area += (h[j] as number) - level;
    to = j - ((h[j] as number) - level) / ((h[j] as number) - (h[j - 1] as number));
    if (area > 0) low = level;
    else high = level;
  }
  return [GRID_FROM + from * GRID_STEP, GRID_FROM + to * GRID_STEP];
}

/**
 * Prepares the flux law of an element over `span`.
 *
 * @param entry where the flow was even; undefined behind a long pipe
 * @param step  factor [1] of a joint's step at ln Re = x
 */
export function fluxLaw(
  span: Span,
  entry: EntryFlow | undefined,
  step: (x: number) => number = () => 1,
): FluxLaw {
  const { from, to } = span;
  const laminar = laminarFactor(from, to);
  const factorAt = (x: number): number =>
    Math.log(
      entry === undefined
        ? developedFactor(x, from, to, laminar)
        : entryParts(x, from, to, entry).factor * step(x),
    );
  const raw = (x: number): number => x + factorAt(x);
  const fold = entry === undefined ? findFold(raw) : undefined;
  const [a, b] = fold ?? [Number.NaN, Number.NaN];
  const ya = raw(a);
  const slope = (raw(b) - ya) / (b - a);
  // NaN ends compare false: without a fold this is `raw`.
  const at = (x: number): number => (x > a && x < b ? ya + slope * (x - a) : raw(x));

  const solve = (y: number): number => {
    if (y === Number.NEGATIVE_INFINITY) return y;
    let low = Number.NEGATIVE_INFINITY;
    let high = Number.POSITIVE_INFINITY;
    let x = y - factorAt(y);
    let lastX = Number.NaN;
    let lastMiss = Number.NaN;
    for (let k = 0; k < 200; k++) {
      const miss = at(x) - y;
      if (Math.abs(miss) <= 2e-16 * Math.abs(y)) return x;
      if (miss > 0) high = x;
      else low = x;
      // Secant inside the bracket; halve it when the secant leaves it or has had its time.
      let next = Number.isNaN(lastX) ? x - miss : x - (miss * (x - lastX)) / (miss - lastMiss);
      if (!(next > low && next < high) || k > 40) {
        if (low === Number.NEGATIVE_INFINITY) next = x - 2 * Math.abs(miss) - 1e-12;
        else if (high === Number.POSITIVE_INFINITY) next = x + 2 * Math.abs(miss) + 1e-12;
        else next = (low + high) / 2;
      }
      if (next === x || next === low || next === high) return x;
      lastX = x;
      lastMiss = miss;
      x = next;
    }
    return x;
  };
  return { at, solve, factorAt, fold };
}

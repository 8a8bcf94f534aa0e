/**
 * Samples of a line that is to be followed by straight segments between fixed breakpoints. Sample j of segment i lies
 * at the share `share[j]` (0 < share <= 1) of the way from breakpoint i to i + 1; the samples of segment i are
 * start[i] … start[i + 1] - 1, and the last has share 1. Breakpoint 0 has its own sample.
 */
export interface LineSamples {
  readonly start: readonly number[];
  readonly share: readonly number[];
  readonly target: readonly number[];
  /** Errors are counted in units of this. */
  readonly scale: readonly number[];
  readonly firstTarget: number;
  readonly firstScale: number;
  /** Least rise from breakpoint i to i + 1, or undefined when the values may go as they like. */
  readonly rise?: readonly number[] | undefined;
  /** Range of the value at each breakpoint; it must hold the target's own value there. */
  readonly range?: { readonly least: readonly number[]; readonly most: readonly number[] } | undefined;
}

/** What segment i asks of the value at its right end, given the value v at its left end. */
interface Demand {
  most: number;
  mostSlope: number;
  least: number;
  leastSlope: number;
}

function demandOf(s: LineSamples, i: number, e: number, v: number, ordered: boolean, out: Demand): void {
  out.most = Number.POSITIVE_INFINITY;
  out.least = Number.NEGATIVE_INFINITY;
  for (let j = s.start[i] as number; j < (s.start[i + 1] as number); j++) {
    const share = s.share[j] as number;
    const slope = (share - 1) / share;
    const middle = (s.target[j] as number) / share + slope * v;
    const room = (e * (s.scale[j] as number)) / share;
    if (middle + room < out.most) {
      out.most = middle + room;
      out.mostSlope = slope;
    }
    if (middle - room > out.least) {
      out.least = middle - room;
      out.leastSlope = slope;
    }
  }
  const rise = ordered ? s.rise?.[i] : undefined;
  if (rise !== undefined && v + rise > out.least) {
    out.least = v + rise;
    out.leastSlope = 1;
  }
}

const ROUNDING = 4 * Number.EPSILON;

/**
 * Nearest value to `from`, going towards `to`, at which segment i can be passed at error e; NaN when there is none.
 * The room most(v) - least(v) is a concave function made of lines, so Newton's steps approach its root from outside
 * and land on it after as many steps as there are lines to cross, usually one or two.
 */
function nearestPassable(s: LineSamples, i: number, e: number, from: number, to: number, d: Demand): number {
  const rightwards = to >= from;
  let v = from;
  for (let turn = 0; turn < 64; turn++) {
    demandOf(s, i, e, v, true, d);
    const room = d.most - d.least;
    // Passable up to rounding: of the demands, or of v on a steep demand.
    if (room >= -ROUNDING * (Math.abs(d.most) + Math.abs(d.least))) return v;
    const slope = d.mostSlope - d.leastSlope;
    if (rightwards ? !(slope > 0) : !(slope < 0)) return Number.NaN;
    const step = -room / slope;
    if (Math.abs(step) <= ROUNDING * (Math.abs(from) + Math.abs(to))) return v;
    v += step;
    if (rightwards ? !(v <= to) : !(v >= to)) return Number.NaN;
  }
  return Number.NaN;
}

/** Least value at the right end of segment i over left values a … b: the least of a convex function made of lines. */
function leastRight(s: LineSamples, i: number, e: number, a: number, b: number, d: Demand): number {
  demandOf(s, i, e, b, true, d);
  const rise = s.rise?.[i];
  if (rise === undefined || !(d.leastSlope > 0)) return d.least;
  // The wanted rise decides at b. Go from a to where it takes over from the samples.
  let v = a;
  for (let turn = 0; turn < 64; turn++) {
    demandOf(s, i, e, v, false, d);
    const gap = d.least - v - rise;
    if (!(gap > 0)) break;
    const next = v + gap / (1 - d.leastSlope);
    if (!(next > v)) break;
    v = Math.min(next, b);
  }
  return v + rise;
}

/** Reachable values at each breakpoint at error e, or undefined when some segment cannot be passed. */
function reach(s: LineSamples, e: number): { low: Float64Array; high: Float64Array } | undefined {
  const segments = s.start.length - 1;
  const low = new Float64Array(segments + 1);
  const high = new Float64Array(segments + 1);
  const d: Demand = { most: 0, mostSlope: 0, least: 0, leastSlope: 0 };
  const confine = (i: number): void => {
    if (s.range === undefined) return;
    low[i] = Math.max(low[i] as number, s.range.least[i] as number);
    high[i] = Math.min(high[i] as number, s.range.most[i] as number);
  };
  low[0] = s.firstTarget - e * s.firstScale;
  high[0] = s.firstTarget + e * s.firstScale;
  confine(0);
  for (let i = 0; i < segments; i++) {
    const a = nearestPassable(s, i, e, low[i] as number, high[i] as number, d);
    if (Number.isNaN(a)) return undefined;
    // The upper demand falls with v, so the left-most passable value reaches highest.
    high[i + 1] = d.most;
    const b = nearestPassable(s, i, e, high[i] as number, a, d);
    if (Number.isNaN(b)) return undefined;
    low[i + 1] = Math.min(leastRight(s, i, e, a, b, d), high[i + 1] as number);
    confine(i + 1);
    if (!((low[i + 1] as number) <= (high[i + 1] as number))) return undefined;
  }
  return { low, high };
}

const between = (value: number, low: number, high: number): number =>
  low <= high ? Math.min(Math.max(value, low), high) : (low + high) / 2;

/** Values at error e, as near to `wanted` as each breakpoint allows, going back from the last. */
function choose(
  s: LineSamples,
  e: number,
  reachable: { low: Float64Array; high: Float64Array },
  wanted: Float64Array,
): Float64Array {
  const last = s.start.length - 1;
  const v = new Float64Array(last + 1);
  v[last] = between(wanted[last] as number, reachable.low[last] as number, reachable.high[last] as number);
  for (let i = last - 1; i >= 0; i--) {
    const right = v[i + 1] as number;
    let low = reachable.low[i] as number;
    let high = reachable.high[i] as number;
    const rise = s.rise?.[i];
    if (rise !== undefined) high = Math.min(high, right - rise);
    for (let j = s.start[i] as number; j < (s.start[i + 1] as number) - 1; j++) {
      const share = s.share[j] as number;
      const middle = (s.target[j] as number) - share * right;
      const room = e * (s.scale[j] as number);
      low = Math.max(low, (middle - room) / (1 - share));
      high = Math.min(high, (middle + room) / (1 - share));
    }
    // Where rounding has crossed the bounds, the middle, but never out of what can be reached.
    const near = between(wanted[i] as number, low, high);
    v[i] = between(near, reachable.low[i] as number, reachable.high[i] as number);
  }
  return v;
}

/** Relative width to which the least possible error is enclosed. */
const ENCLOSED = 1e-7;

export interface MinimaxFit {
  readonly values: Float64Array;
  /** No values on these breakpoints have a largest error below this, over these samples. */
  readonly lowerBound: number;
}

/**
 * Breakpoint values with the smallest possible largest error.
 *
 * At an error level e every sample bounds the two values at the ends of its segment from above and below. Going from
 * left to right, the values that can be reached at each breakpoint form an interval, and the next interval follows
 * from it exactly; an empty one proves that no values reach e. Halving e between such a proof and a level that can be
 * reached encloses the least error to 1e-7 of itself. Going back from right to left then picks, inside what can be
 * reached, the values nearest to `wanted`, which spread the error well where the worst place leaves freedom.
 *
 * @param wanted  values of low error everywhere
 * @param hoped   an error level that is probably reached, such as the largest error of `wanted`
 * @param certain an error level that is certainly reached
 */
export function minimax(
  samples: LineSamples,
  wanted: Float64Array,
  hoped: number,
  certain: number,
): MinimaxFit {
  let low = 0;
  let high = hoped;
  let region = reach(samples, high);
  if (region === undefined) {
    low = hoped;
    high = Math.max(hoped, certain);
    region = reach(samples, high);
  }
  // Sixty halvings are all that a double can tell apart, should the least error be zero.
  for (let turn = 0; turn < 60 && high - low > ENCLOSED * high; turn++) {
    const middle = (low + high) / 2;
    const next = reach(samples, middle);
    if (next === undefined) low = middle;
    else {
      high = middle;
      region = next;
    }
  }
  return { values: region === undefined ? wanted : choose(samples, high, region, wanted), lowerBound: low };
}

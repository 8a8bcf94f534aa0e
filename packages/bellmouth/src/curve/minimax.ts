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
  /** Range of the value at each breakpoint; it must hold the values of `anchor` there. */
  readonly range?: { readonly least: readonly number[]; readonly most: readonly number[] } | undefined;
}

/** What segment i asks of the value at its right end, given the value v at its left end. */
interface Demand {
  most: number;
  mostSlope: number;
  least: number;
  leastSlope: number;
}

/** Error level of breakpoint i: it belongs to the segments on both sides. */
const levelAt = (level: Float64Array, i: number): number =>
  Math.min(
    level[i - 1] ?? Number.POSITIVE_INFINITY,
    i < level.length ? (level[i] as number) : Number.POSITIVE_INFINITY,
  );

function demandOf(
  s: LineSamples,
  i: number,
  level: Float64Array,
  v: number,
  ordered: boolean,
  out: Demand,
): void {
  out.most = Number.POSITIVE_INFINITY;
  out.least = Number.NEGATIVE_INFINITY;
  const own = level[i] as number;
  const last = (s.start[i + 1] as number) - 1;
  for (let j = s.start[i] as number; j <= last; j++) {
    const share = s.share[j] as number;
    const slope = (share - 1) / share;
    const middle = (s.target[j] as number) / share + slope * v;
    const e = j === last ? levelAt(level, i + 1) : own;
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
 * Nearest value to `from`, going towards `to`, at which segment i can be passed at its error level; NaN when there is
 * none. The room most(v) - least(v) is a concave function made of lines, so Newton's steps approach its root from
 * outside and land on it after as many steps as there are lines to cross, usually one or two.
 */
function nearestPassable(
  s: LineSamples,
  i: number,
  level: Float64Array,
  from: number,
  to: number,
  d: Demand,
): number {
  const rightwards = to >= from;
  let v = from;
  for (let turn = 0; turn < 64; turn++) {
    demandOf(s, i, level, v, true, d);
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
function leastRight(s: LineSamples, i: number, level: Float64Array, a: number, b: number, d: Demand): number {
  demandOf(s, i, level, b, true, d);
  const rise = s.rise?.[i];
  if (rise === undefined || !(d.leastSlope > 0)) return d.least;
  // The wanted rise decides at b. Go from a to where it takes over from the samples.
  let v = a;
  for (let turn = 0; turn < 64; turn++) {
    demandOf(s, i, level, v, false, d);
    const gap = d.least - v - rise;
    if (!(gap > 0)) break;
    const next = v + gap / (1 - d.leastSlope);
    if (!(next > v)) break;
    v = Math.min(next, b);
  }
  return v + rise;
}

/** Values that can be reached at each breakpoint. */
interface Reach {
  readonly low: Float64Array;
  readonly high: Float64Array;
}

/**
 * Goes from breakpoint `from` over the segments up to and with `to`, filling in what can be reached at each
 * breakpoint; the index of the first segment that cannot be passed at its level, or -1.
 */
function blockedAt(
  s: LineSamples,
  level: Float64Array,
  from: number,
  to: number,
  { low, high }: Reach,
): number {
  const d: Demand = { most: 0, mostSlope: 0, least: 0, leastSlope: 0 };
  const confine = (i: number): void => {
    if (s.range === undefined) return;
    low[i] = Math.max(low[i] as number, s.range.least[i] as number);
    high[i] = Math.min(high[i] as number, s.range.most[i] as number);
  };
  const before = (s.start[from] as number) - 1;
  const target = before < 0 ? s.firstTarget : (s.target[before] as number);
  const room = levelAt(level, from) * (before < 0 ? s.firstScale : (s.scale[before] as number));
  low[from] = target - room;
  high[from] = target + room;
  confine(from);
  for (let i = from; i <= to; i++) {
    const a = nearestPassable(s, i, level, low[i] as number, high[i] as number, d);
    if (Number.isNaN(a)) return i;
    // The upper demand falls with v, so the left-most passable value reaches highest.
    high[i + 1] = d.most;
    const b = nearestPassable(s, i, level, high[i] as number, a, d);
    if (Number.isNaN(b)) return i;
    low[i + 1] = Math.min(leastRight(s, i, level, a, b, d), high[i + 1] as number);
    confine(i + 1);
    if (!((low[i + 1] as number) <= (high[i + 1] as number))) return i;
  }
  return -1;
}

/** The shortest chain of segments that cannot be passed at these levels, as its first and last; levels must block. */
function blockingChain(
  s: LineSamples,
  level: Float64Array,
  scratch: Reach,
): { readonly start: number; readonly end: number } {
  const count = level.length;
  const end = blockedAt(s, level, 0, count - 1, scratch);
  const blocked = (from: number): boolean => blockedAt(s, level, from, end, scratch) >= 0;
  let free = end + 1;
  let start = end;
  for (let back = 1; !blocked(start); back *= 2) {
    free = start;
    start = Math.max(0, end - back);
    if (start === 0) break;
  }
  while (free - start > 1) {
    const middle = (free + start) >> 1;
    if (blocked(middle)) start = middle;
    else free = middle;
  }
  // A breakpoint at either end may be held by the lower level of the segment beyond it.
  const lower = (i: number, than: number): boolean =>
    (level[i] ?? Number.POSITIVE_INFINITY) < (level[than] as number);
  return { start: lower(start - 1, start) ? start - 1 : start, end: lower(end + 1, end) ? end + 1 : end };
}

const between = (value: number, low: number, high: number): number =>
  low <= high ? Math.min(Math.max(value, low), high) : (low + high) / 2;

/** Values at the levels, as near to `wanted` as each breakpoint allows, going back from the last. */
function choose(s: LineSamples, level: Float64Array, reachable: Reach, wanted: Float64Array): Float64Array {
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
      const room = (level[i] as number) * (s.scale[j] as number);
      low = Math.max(low, (middle - room) / (1 - share));
      high = Math.min(high, (middle + room) / (1 - share));
    }
    // Where rounding has crossed the bounds, the middle, but never out of what can be reached.
    const near = between(wanted[i] as number, low, high);
    v[i] = between(near, reachable.low[i] as number, reachable.high[i] as number);
  }
  // Rounding may have crossed a rise of a last bit.
  for (let i = 0; i < last; i++) {
    const least = (v[i] as number) + (s.rise?.[i] ?? Number.NEGATIVE_INFINITY);
    if ((v[i + 1] as number) < least) v[i + 1] = least;
  }
  return v;
}

/** Largest scaled error of the lines through `v` in each segment, its two breakpoints counted. */
export function segmentErrors(s: LineSamples, v: ArrayLike<number>): Float64Array {
  const errors = new Float64Array(s.start.length - 1);
  let left = Math.abs((v[0] as number) - s.firstTarget) / s.firstScale;
  for (let i = 0; i < errors.length; i++) {
    let worst = left;
    for (let j = s.start[i] as number; j < (s.start[i + 1] as number); j++) {
      const share = s.share[j] as number;
      const line = (1 - share) * (v[i] as number) + share * (v[i + 1] as number);
      left = Math.abs(line - (s.target[j] as number)) / (s.scale[j] as number);
      if (left > worst) worst = left;
    }
    errors[i] = worst;
  }
  return errors;
}

/** Relative width to which the least possible error is enclosed: of the worst segment, and of those after it. */
const ENCLOSED = 1e-7;
const ENCLOSED_LATER = 1e-4;
/** Segments this far below the worst one are left as they are. */
const NEGLIGIBLE = 1e-4;
/** Segments gone over in all rounds together: longer tables are evened out in fewer rounds. */
const WORK = 65536;
const LEAST_ROUNDS = 8;

export interface MinimaxFit {
  readonly values: Float64Array;
  /** No lines that keep to the rules have a largest error below this, over these samples. */
  readonly lowerBound: number;
}

/**
 * Breakpoint values whose largest error is as small as it can be, then the largest error of the other segments, and so
 * on, with no segment's error above that of the `anchor` values.
 *
 * At given error levels of the segments every sample bounds the two values at the ends of its segment from above and
 * below. Going from left to right, the values that can be reached at each breakpoint form an interval, and the next
 * interval follows from it exactly; an empty one proves that no values reach the levels. Halving a common level e
 * between such a proof and a level that can be reached encloses the least largest error to 1e-7 of itself. The chain of
 * segments that blocks a smaller e then keeps its level, and e falls on for the others.
 *
 * @param anchor values that keep the wanted rises and ranges
 * @param nowhereWorse false: a segment may become worse than the anchor's where that makes the worst one better
 */
export function minimax(s: LineSamples, anchor: Float64Array, nowhereWorse: boolean): MinimaxFit {
  const cap = segmentErrors(s, anchor);
  const count = cap.length;
  const most = cap.reduce((a, b) => Math.max(a, b), 0);
  // A last bit of room, so that the anchor itself passes.
  const level = cap.map((error) => (nowhereWorse ? error : most) * (1 + 1e-12));
  const settled = new Uint8Array(count);
  const scratch: Reach = { low: new Float64Array(count + 1), high: new Float64Array(count + 1) };
  const trial = new Float64Array(count);
  const trialAt = (e: number): Float64Array => {
    for (let i = 0; i < count; i++) {
      const own = level[i] as number;
      trial[i] = settled[i] === 1 ? own : Math.min(own, e);
    }
    return trial;
  };
  const rounds = Math.min(count, Math.max(LEAST_ROUNDS, Math.ceil(WORK / count)));
  let lowerBound = 0;
  let worst = 0;
  for (let round = 0; round < rounds; round++) {
    let high = 0;
    for (let i = 0; i < count; i++) if (settled[i] === 0) high = Math.max(high, level[i] as number);
    if (round === 0) worst = high;
    if (!(high > NEGLIGIBLE * worst)) break;
    let low = 0;
    const enclosed = round === 0 ? ENCLOSED : ENCLOSED_LATER;
    // Sixty halvings are all that a double can tell apart, should the least error be zero.
    for (let turn = 0; turn < 60 && high - low > enclosed * high; turn++) {
      const middle = (low + high) / 2;
      if (blockedAt(s, trialAt(middle), 0, count - 1, scratch) < 0) high = middle;
      else low = middle;
    }
    if (round === 0) lowerBound = low;
    const chain = low > 0 ? blockingChain(s, trialAt(low), scratch) : undefined;
    let found = false;
    for (let i = 0; i < count; i++) {
      if (settled[i] === 1) continue;
      level[i] = Math.min(level[i] as number, high);
      if (chain === undefined || i < chain.start || i > chain.end) continue;
      settled[i] = 1;
      found = true;
    }
    if (!found) break;
  }
  if (blockedAt(s, level, 0, count - 1, scratch) >= 0) return { values: anchor, lowerBound };
  return { values: choose(s, level, scratch, anchor), lowerBound };
}

/**
 * Finds the segment of a point in constant time on ordinary breakpoints: the range is cut into equal buckets, each
 * bucket knows the last breakpoint that is in it or before it, and the search steps back from there.
 *
 * `bucketOf` never decreases with x, also in floating point, so a breakpoint in a later bucket is above x and one
 * in an earlier bucket is not: stepping back inside the bucket is exact, whatever the rounding of the bucket bounds.
 */
export interface KnotIndex {
  /** Breakpoints, strictly increasing. */
  readonly knots: Float64Array;
  readonly first: number;
  readonly last: number;
  /** Buckets per unit of x. */
  readonly scale: number;
  /** Last breakpoint in or before each bucket. */
  readonly buckets: Int32Array;
}

/** Thirty-two buckets a breakpoint, so that few hold one: then stepping back is rare. Four thousand fit the L1 cache. */
const bucketCount = (n: number): number => Math.min(2 ** 22, Math.max(64, 32 * n));

const bucketOf = (x: number, first: number, scale: number): number => ((x - first) * scale) | 0;

/** Room for rounding in even breakpoints: 1e-9 of a step, far above the last bits and far below a step. */
const EVEN_SLACK = 1 + 1e-9;

/** Prepares the index of strictly increasing breakpoints, at least two. */
export function indexKnots(values: ArrayLike<number>): KnotIndex {
  const knots = Float64Array.from(values);
  const n = knots.length;
  const first = knots[0] as number;
  const last = knots[n - 1] as number;
  // Even breakpoints need one bucket each, a hair narrower so that breakpoint k is at the start of bucket k.
  const evenScale = ((n - 1) / (last - first)) * EVEN_SLACK;
  const even = knots.every((knot, k) => bucketOf(knot, first, evenScale) === k);
  const scale = even ? evenScale : bucketCount(n) / (last - first);
  const buckets = new Int32Array(even ? n + 1 : bucketCount(n) + 2);
  for (let k = 0; k < n; k++) buckets[bucketOf(knots[k] as number, first, scale)] = k;
  for (let b = 1; b < buckets.length; b++) {
    buckets[b] = Math.max(buckets[b] as number, buckets[b - 1] as number);
  }
  return { knots, first, last, scale, buckets };
}

/** Last breakpoint at or below x by halving, between `low` (at or below x) and `high`. */
export function halve(knots: ArrayLike<number>, x: number, low: number, high: number): number {
  let a = low;
  let b = high;
  while (a < b) {
    const middle = (a + b + 1) >>> 1;
    if (x < (knots[middle] as number)) b = middle - 1;
    else a = middle;
  }
  return a;
}

/** Last breakpoint at or below x, for x in first … last. */
export function locate(index: KnotIndex, x: number): number {
  const k = index.buckets[bucketOf(x, index.first, index.scale)] as number;
  return x < (index.knots[k] as number) ? stepBack(index, k, x) : k;
}

/** The rare case of `locate`: breakpoint k, the last of the bucket of x, is above x. Crowded buckets are halved. */
export function stepBack(index: KnotIndex, k: number, x: number): number {
  if (x >= (index.knots[k - 1] as number)) return k - 1;
  const before = bucketOf(x, index.first, index.scale) - 1;
  return halve(index.knots, x, before < 0 ? 0 : (index.buckets[before] as number), k - 1);
}

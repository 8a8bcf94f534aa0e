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
  readonly buckets: Uint16Array | Uint32Array;
  /** Whether the breakpoints are even: bucket k then starts at breakpoint k. */
  readonly even: boolean;
}

/** Sixty-four buckets a breakpoint, so that few hold one and stepping back is rare; 128 breakpoints take 16 kB. */
const bucketCount = (n: number): number => Math.min(2 ** 22, Math.max(64, 64 * n));

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
  const size = even ? n + 1 : bucketCount(n) + 2;
  const buckets = n > 0xffff ? new Uint32Array(size) : new Uint16Array(size);
  for (let k = 1; k < n; k++) {
    const from = bucketOf(knots[k] as number, first, scale);
    buckets.fill(k, from, k === n - 1 ? size : bucketOf(knots[k + 1] as number, first, scale));
    // Where the next breakpoint is in the same bucket the fill was empty; the next takes the bucket over.
    buckets[from] = k;
  }
  return { knots, first, last, scale, buckets, even };
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

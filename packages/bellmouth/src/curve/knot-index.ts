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
  readonly buckets: Uint32Array;
  /** True when bucket k holds breakpoint k and no other, as on even breakpoints: the table need not be read. */
  readonly even: boolean;
}

/** Buckets: eight a breakpoint, at least 2,048 and at most 2^20, so that few buckets hold a breakpoint at all. */
const bucketCount = (n: number): number => Math.min(2 ** 20, Math.max(2048, 8 * n));

const bucketOf = (x: number, first: number, scale: number): number => ((x - first) * scale) | 0;

/** Room for rounding in even breakpoints: 1e-9 of a step, far above the last bits and far below a step. */
const EVEN_SLACK = 1 + 1e-9;

function isEven(knots: Float64Array, scale: number): boolean {
  const first = knots[0] as number;
  for (let k = 0; k < knots.length; k++) {
    if (bucketOf(knots[k] as number, first, scale) !== k) return false;
  }
  return true;
}

/** Prepares the index of strictly increasing breakpoints, at least two. */
export function indexKnots(values: ArrayLike<number>): KnotIndex {
  const knots = Float64Array.from(values);
  const n = knots.length;
  const first = knots[0] as number;
  const last = knots[n - 1] as number;
  const evenScale = ((n - 1) / (last - first)) * EVEN_SLACK;
  if (isEven(knots, evenScale)) {
    const buckets = Uint32Array.from(knots, (_, k) => k);
    return { knots, first, last, scale: evenScale, buckets, even: true };
  }
  const count = bucketCount(n);
  const scale = count / (last - first);
  const buckets = new Uint32Array(count + 2);
  for (let k = 0; k < n; k++) buckets[bucketOf(knots[k] as number, first, scale)] = k;
  for (let b = 1; b < buckets.length; b++) {
    if ((buckets[b] as number) < (buckets[b - 1] as number)) buckets[b] = buckets[b - 1] as number;
  }
  return { knots, first, last, scale, buckets, even: false };
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
  const { knots, buckets } = index;
  const b = bucketOf(x, index.first, index.scale);
  const k = buckets[b] as number;
  return x < (knots[k] as number) ? stepBack(index, b, k, x) : k;
}

/** The rare case of `locate`: breakpoint k, the last of bucket b, is above x. Crowded buckets are halved. */
export function stepBack(index: KnotIndex, b: number, k: number, x: number): number {
  if (x >= (index.knots[k - 1] as number)) return k - 1;
  return halve(index.knots, x, b === 0 ? 0 : (index.buckets[b - 1] as number), k - 1);
}

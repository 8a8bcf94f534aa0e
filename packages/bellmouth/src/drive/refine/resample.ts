import type { DriveChannel } from "../drive.js";

/** An even time grid: `n` instants from `start`, `step` apart [s]. */
export interface Grid {
  readonly start: number;
  readonly step: number;
  readonly n: number;
}

/**
 * A channel on an even grid: bin means where it is sampled faster than the grid, straight lines between samples where
 * slower. Missing (NaN) where the neighbouring samples are more than `reach` apart, and outside them.
 *
 * @param channel its own time stamps [s], not decreasing, and values; NaN samples are skipped
 * @param reach   longest gap bridged [s]
 */
export function resample(channel: DriveChannel, grid: Grid, reach: number): Float64Array {
  const { time, value } = channel;
  const { start, step, n } = grid;
  const out = new Float64Array(n).fill(Number.NaN);
  const samples = Math.min(time.length, value.length);
  const rows = samples > 1 ? (time[samples - 1]! - time[0]!) / (samples - 1) : step;
  let i = 0;
  if (rows < 0.75 * step) {
    for (let k = 0; k < n; k++) {
      const from = start + (k - 0.5) * step;
      const to = from + step;
      while (i < samples && time[i]! < from) i++;
      let sum = 0;
      let count = 0;
      for (; i < samples && time[i]! < to; i++) {
        const v = value[i]!;
        if (!Number.isNaN(v)) {
          sum += v;
          count++;
        }
      }
      if (count > 0) out[k] = sum / count;
    }
    return out;
  }
  // Left neighbour (l) and right neighbour (r) of each instant, skipping missing samples.
  let lt = Number.NEGATIVE_INFINITY;
  let lv = Number.NaN;
  while (i < samples && Number.isNaN(value[i])) i++;
  for (let k = 0; k < n; k++) {
    const t = start + k * step;
    while (i < samples && time[i]! <= t) {
      lt = time[i]!;
      lv = value[i]!;
      i++;
      while (i < samples && Number.isNaN(value[i])) i++;
    }
    if (i < samples) {
      const rt = time[i]!;
      if (rt - lt <= reach) out[k] = lv + ((value[i]! - lv) * (t - lt)) / (rt - lt);
      else if (t - lt < 1e-9) out[k] = lv;
    } else if (t - lt <= 0.5 * step) out[k] = lv;
  }
  return out;
}

/** Observations on an even grid. */
export interface Binned {
  /** Mean of what was sampled inside each bin, NaN where nothing was. */
  readonly value: Float64Array;
  /** Mean time of those samples after the bin's middle [s]. */
  readonly offset: Float64Array;
}

/**
 * Observations by bin: values are not carried from one bin to another, so that each counts once. A held value (a channel that repeats its
 * last reading between refreshes) is therefore to be passed at its own rate.
 */
export function binned(channel: DriveChannel, grid: Grid): Binned {
  const { time, value } = channel;
  const { start, step, n } = grid;
  const mean = new Float64Array(n).fill(Number.NaN);
  const offset = new Float64Array(n);
  const samples = Math.min(time.length, value.length);
  let i = 0;
  for (let k = 0; k < n; k++) {
    const from = start + (k - 0.5) * step;
    const to = from + step;
    while (i < samples && time[i]! < from) i++;
    let sum = 0;
    let times = 0;
    let count = 0;
    for (; i < samples && time[i]! < to; i++) {
      const v = value[i]!;
      if (!Number.isNaN(v)) {
        sum += v;
        times += time[i]!;
        count++;
      }
    }
    if (count > 0) {
      mean[k] = sum / count;
      offset[k] = times / count - (start + k * step);
    }
  }
  return { value: mean, offset };
}

/** Median spacing of a channel's samples that hold a value [s]; NaN under two. */
export function spacing(channel: DriveChannel): number {
  const { time, value } = channel;
  // A thousand gaps tell the median of any log.
  const gaps = new Float64Array(Math.min(1000, time.length));
  let count = 0;
  let last = Number.NaN;
  for (let i = 0; i < time.length && count < gaps.length; i++) {
    if (Number.isNaN(value[i])) continue;
    const gap = time[i]! - last;
    if (gap > 0) gaps[count++] = gap;
    last = time[i]!;
  }
  return count === 0 ? Number.NaN : gaps.subarray(0, count).sort()[count >> 1]!;
}

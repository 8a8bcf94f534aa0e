import { BellmouthError, requireNumber } from "../../fault/index.js";
import { kilogramsPerSecond, type MassFlow } from "../../units/index.js";
import { type EngineState, loneReadings, type Reading } from "./lone-readings.js";

export interface RobustPeakOptions {
  /**
   * How long the flow must have stayed at or above the peak [unit of the times: s]; when not given, one reading: the log's
   * own pace. A time that so slow a log can only have seen in some readings asks for those: as many as fit into it.
   */
  readonly sustained?: number;
  /** Longest time one reading is taken to hold [s]; five times the usual step when not given. */
  readonly hold?: number;
  /** What the engine did meanwhile: it decides what a spike is where neighbours leave it open. */
  readonly engine?: EngineState;
  /** Relative standard uncertainty of the table that the flow was read through [1]; not in `u` when not given. */
  readonly table?: number;
}

/** Highest flow that a drive sustained. */
export interface RobustPeak {
  readonly kind: "robust peak";
  /** [kg/s] */
  readonly value: MassFlow;
  /** standard uncertainty [kg/s]: what lies between readings, and the table's own where it was given */
  readonly u: number;
  /** of it, what may lie between two readings [kg/s]: the flow may have gone on by as much as it moved from one to the next */
  readonly uBetween: number;
  /** when it was sustained, in the log's times [s] */
  readonly from: number;
  readonly to: number;
  /** usual time from one reading to the next [s] */
  readonly pace: number;
  /** Samples used, and why others were not. */
  readonly used: number;
  readonly removed: { readonly missing: number; readonly dropouts: number; readonly spikes: number };
  /** Of the spikes, those that may have been a short pull: no other channel speaks of them. Highest first [s], [kg/s]. */
  readonly doubtful: readonly { readonly time: number; readonly value: MassFlow }[];
}

const middle = (values: readonly number[]): number => {
  const sorted = [...values].sort((a, b) => a - b);
  const half = sorted.length >> 1;
  const upper = sorted[half] as number;
  return sorted.length % 2 === 1 ? upper : ((sorted[half - 1] as number) + upper) / 2;
};

/**
 * Peak of a logged air flow that a headroom can be judged on: readings of zero or less (a running engine breathes; the
 * sensor or the link dropped out) and missing ones are left out, lone spikes too, and the peak is the highest flow that
 * was held for a stated time, or for one reading. In doubt it is the higher one.
 *
 * @param times   of the samples [s], not decreasing; sample numbers when the log has no times, then `sustained` and
 *   `hold` count samples
 * @param values  flow [kg/s]; NaN is a missing sample
 * @throws `E_DOMAIN` on an option that is not positive, `E_SHAPE` on lists of unequal length, `E_ORDER` on times that go back, `E_TOO_LITTLE_DATA` when the log never
 *   shows flow for that long
 * @source What a spike is: judgement, no source.
 * @example
 * const times = [0, 1, 2, 3, 4, 5, 6, 7, 8, 9];
 * const flow = [0.02, 0.05, 0.09, 0.11, 0.9, 0.115, 0, 0.112, 0.06, 0.03];
 * robustPeak(times, flow, { sustained: 3 }).value // ≈ 0.112
 */
export function robustPeak(
  times: ArrayLike<number>,
  values: ArrayLike<number>,
  options: RobustPeakOptions = {},
): RobustPeak {
  const stated =
    options.sustained === undefined
      ? undefined
      : requireNumber(options.sustained, "options.sustained", "s", { over: 0 });
  const table = requireNumber(options.table ?? 0, "options.table", "1", { from: 0, to: 1 });
  const step = usualStep(times, values);
  const hold = requireNumber(options.hold ?? 5 * step, "options.hold", "s", { over: 0 });
  const { engine } = options;
  if (engine !== undefined) {
    requireTimes(engine.speed.times, engine.speed.values, "options.engine.speed.");
    requireTimes(engine.load.times, engine.load.values, "options.engine.load.");
  }
  const { readings, missing, dropouts } = readingsOf(times, values, hold);
  const pace = paceOf(readings, hold, step);
  const { spikes, doubtful } = loneReadings(readings, pace, hold, engine);
  const kept = readings.filter((_, i) => !spikes.has(i));
  const found = longestHigh(kept, stated === undefined ? 0 : stated - pace, hold, step);
  if (found === undefined) {
    throw new BellmouthError({
      code: "E_TOO_LITTLE_DATA",
      message: "the log never shows a flow for the time a peak must be sustained",
      found:
        stated === undefined ? "no reading above zero" : `${kept.length} readings, none held ${stated} s`,
      accepted: "a longer log, or a shorter time",
      at: { path: "values" },
    });
  }
  const { from, to } = found;
  const value = leastOf(kept, from, to);
  const uBetween = between(kept, from, to, pace);
  const rows = (list: readonly Reading[]): number => list.reduce((sum, reading) => sum + reading.rows, 0);
  return {
    kind: "robust peak",
    value: kilogramsPerSecond(value),
    u: Math.hypot(uBetween, table * value),
    uBetween,
    from: (kept[from] as Reading).first,
    to: (kept[to] as Reading).last,
    pace,
    used: rows(kept),
    removed: { missing, dropouts, spikes: rows(readings) - rows(kept) },
    doubtful: doubtful
      .map((i) => readings[i] as Reading)
      .filter((reading) => reading.value > value)
      .sort((a, b) => b.value - a.value)
      .map((reading) => ({ time: reading.first, value: kilogramsPerSecond(reading.value) })),
  };
}

const leastOf = (readings: readonly Reading[], from: number, to: number): number => {
  let least = Number.POSITIVE_INFINITY;
  for (let i = from; i <= to; i++) least = Math.min(least, (readings[i] as Reading).value);
  return least;
};

/**
 * Standard uncertainty of what lies between readings. A pull goes on rising after its last reading, evenly likely for any
 * part of the time to the next, at the rate at which it came: above the value by 0 to a step, root mean square step/√3. The
 * step is the usual one between readings of at least three quarters of the peak around it; of a reading that stands alone, the calmer
 * side's.
 */
function between(kept: readonly Reading[], from: number, to: number, pace: number): number {
  const value = leastOf(kept, from, to);
  const { first, last } = kept[from] as Reading;
  if (from === to && last - first >= 2 * pace) return 0;
  const steps: number[] = [];
  for (let i = Math.max(from - 2, 1); i <= Math.min(to + 2, kept.length - 1); i++) {
    const [a, b] = [(kept[i - 1] as Reading).value, (kept[i] as Reading).value];
    if (Math.min(a, b) >= 0.75 * value) steps.push(b - a);
  }
  if (steps.length > 0)
    return Math.sqrt(steps.reduce((sum, step) => sum + step * step, 0) / steps.length / 3);
  const sides = [kept[from - 1], kept[to + 1]]
    .filter((reading) => reading !== undefined)
    .map((reading) => Math.abs(reading.value - value));
  return sides.length === 0 ? 0 : Math.min(sides[0] as number, sides.at(-1) as number) / Math.sqrt(3);
}

/** Fewest readings that a pace is taken from; with fewer it is the step of the rows. */
const PACE_READINGS = 8;

/** Usual time from the start of one reading to that of the next; a stretch of constant flow is no slow polling: lower quartile. */
function paceOf(readings: readonly Reading[], hold: number, step: number): number {
  const paces: number[] = [];
  readings.forEach((reading, i) => {
    const next = readings[i + 1];
    if (next !== undefined && next.first - reading.last <= hold) paces.push(next.first - reading.first);
  });
  paces.sort((a, b) => a - b);
  return paces.length < PACE_READINGS ? step : Math.max(paces[paces.length >> 2] as number, step);
}

/** Median step of the times; checks both lists on the way. */
function usualStep(times: ArrayLike<number>, values: ArrayLike<number>): number {
  requireTimes(times, values, "");
  const steps: number[] = [];
  for (let i = 1; i < times.length; i++) {
    const step = (times[i] as number) - (times[i - 1] as number);
    if (step > 0) steps.push(step);
  }
  return steps.length === 0 ? 1 : middle(steps);
}

function requireTimes(times: ArrayLike<number>, values: ArrayLike<number>, at: string): void {
  if (times.length !== values.length) {
    throw new BellmouthError({
      code: "E_SHAPE",
      message: "a log needs as many times as values",
      found: `${times.length} times and ${values.length} values`,
      accepted: "two lists of equal length",
      at: { path: `${at}values` },
    });
  }
  for (let i = 0; i < times.length; i++) {
    const time = requireNumber(times[i] as number, `${at}times[${i}]`, "s");
    const before = times[i - 1];
    if (before !== undefined && time < before) {
      throw new BellmouthError({
        code: "E_ORDER",
        message: "times must not go back",
        found: `${time} after ${before}`,
        accepted: `a time of ${before} or later`,
        at: { path: `${at}times[${i}]` },
      });
    }
  }
}

function readingsOf(
  times: ArrayLike<number>,
  values: ArrayLike<number>,
  hold: number,
): { readings: Reading[]; missing: number; dropouts: number } {
  const readings: Reading[] = [];
  let missing = 0;
  let dropouts = 0;
  let open: { value: number; rows: number; first: number; last: number } | undefined;
  for (let i = 0; i < times.length; i++) {
    const time = times[i] as number;
    const value = values[i] as number;
    if (!(value > 0)) {
      if (Number.isNaN(value)) missing++;
      else dropouts++;
      open = undefined;
      continue;
    }
    requireNumber(value, `values[${i}]`, "kg/s");
    // The same value again is the same reading held, unless the log was silent in between.
    if (open !== undefined && open.value === value && time - open.last <= hold) {
      open.rows++;
      open.last = time;
    } else {
      open = { value, rows: 1, first: time, last: time };
      readings.push(open);
    }
  }
  return { readings, missing, dropouts };
}

/** The run of readings with the highest least value among those that last longer than `least`. */
function longestHigh(
  readings: readonly Reading[],
  least: number,
  hold: number,
  step: number,
): { from: number; to: number } | undefined {
  // A reading holds until the next one, but not longer than `hold` past its last row.
  const until = readings.map((reading, i) => {
    const next = readings[i + 1];
    return next === undefined
      ? reading.last + Math.min(step, hold)
      : Math.min(next.first, reading.last + hold);
  });
  let best: { from: number; to: number } | undefined;
  let most = 0;
  // Indices of the window's readings whose value is the least from there on, values rising: the first is the least.
  let queue: number[] = [];
  let from = 0;
  for (let to = 0; to < readings.length; to++) {
    const { value, first } = readings[to] as Reading;
    if (to > 0 && (until[to - 1] as number) < first) {
      from = to;
      queue = [];
    }
    while (queue.length > 0 && (readings[queue.at(-1) as number] as Reading).value >= value) queue.pop();
    queue.push(to);
    const end = until[to] as number;
    while (from < to && end - (readings[from + 1] as Reading).first > least) {
      if (queue[0] === from) queue.shift();
      from++;
    }
    if (!(end - (readings[from] as Reading).first > least)) continue;
    const lowest = (readings[queue[0] as number] as Reading).value;
    if (lowest > most) {
      most = lowest;
      best = { from, to };
    }
  }
  return best;
}

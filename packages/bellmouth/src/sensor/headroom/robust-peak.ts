import { BellmouthError, requireNumber } from "../../fault/index.js";
import { kilogramsPerSecond, type MassFlow } from "../../units/index.js";

export interface RobustPeakOptions {
  /** How long the flow must have stayed at or above the peak [unit of the times: s]. No default: it decides the figure. */
  readonly sustained: number;
  /** Longest time one reading is taken to hold [s]; five times the usual step when not given. */
  readonly hold?: number;
  /** A reading is a spike when it is lone and this many robust standard deviations off its neighbours [1]; 6 when not given. */
  readonly spike?: number;
}

/** Highest flow that a drive sustained. */
export interface RobustPeak {
  readonly kind: "robust peak";
  /** [kg/s] */
  readonly value: MassFlow;
  /** standard uncertainty [kg/s] from the log's slowness: the true peak may fall between two readings */
  readonly u: number;
  /** when it was sustained, in the log's times [s] */
  readonly from: number;
  readonly to: number;
  /** Samples used, and why others were not. */
  readonly used: number;
  readonly removed: { readonly missing: number; readonly dropouts: number; readonly spikes: number };
}

/** A reading: one value, perhaps repeated over several rows because the log polls other signals in between. */
interface Reading {
  readonly value: number;
  readonly rows: number;
  readonly first: number;
  readonly last: number;
}

// Two percent: the least spread credited to six neighbours, so that a quiet stretch does not turn a step into a spike.
const LEAST_SPREAD = 0.02;

const middle = (values: readonly number[]): number => {
  const sorted = [...values].sort((a, b) => a - b);
  const half = sorted.length >> 1;
  const upper = sorted[half] as number;
  return sorted.length % 2 === 1 ? upper : ((sorted[half - 1] as number) + upper) / 2;
};

/**
 * Peak of a logged air flow that a headroom can be judged on: readings of zero or less (a running engine breathes; the
 * sensor or the link dropped out) and missing ones are left out, lone spikes too, and the peak is the highest flow that
 * was held for a stated time.
 *
 * @param times   of the samples [s], not decreasing; sample numbers when the log has no times, then `sustained` and
 *   `hold` count samples
 * @param values  flow [kg/s]; NaN is a missing sample
 * @throws `E_DOMAIN` on an option that is not positive, `E_SHAPE` on lists of unequal length, `E_ORDER` on times that go back, `E_TOO_LITTLE_DATA` when the log never
 *   shows flow for that long
 * @source Lone spikes: median and median absolute deviation, F. R. Hampel, J. Am. Stat. Assoc. 69 (1974) 383.
 * @example
 * const times = [0, 1, 2, 3, 4, 5, 6, 7, 8, 9];
 * const flow = [0.02, 0.05, 0.09, 0.11, 0.9, 0.115, 0, 0.112, 0.06, 0.03];
 * robustPeak(times, flow, { sustained: 3 }).value // ≈ 0.112
 */
export function robustPeak(
  times: ArrayLike<number>,
  values: ArrayLike<number>,
  options: RobustPeakOptions,
): RobustPeak {
  const sustained = requireNumber(options.sustained, "options.sustained", "s", { over: 0 });
  const spike = requireNumber(options.spike ?? 6, "options.spike", "1", { over: 0 });
  const step = usualStep(times, values);
  const hold = requireNumber(options.hold ?? 5 * step, "options.hold", "s", { over: 0 });
  const { readings, missing, dropouts } = readingsOf(times, values, hold);
  const kept = readings.filter((_, i) => !isSpike(readings, i, spike));
  const found = longestHigh(kept, sustained, hold, step);
  if (found === undefined) {
    throw new BellmouthError({
      code: "E_TOO_LITTLE_DATA",
      message: "the log never shows a flow for the time a peak must be sustained",
      found: `${kept.length} readings, none held ${sustained} s`,
      accepted: "a longer log, or a shorter time",
      at: { path: "values" },
    });
  }
  const { from, to } = found;
  const value = Math.min(...kept.slice(from, to + 1).map((reading) => reading.value));
  // Between readings the flow may have gone on by half of what it moved from one to the next, on the calmer side.
  const moves = [kept[from - 1], kept[to + 1]]
    .filter((reading) => reading !== undefined)
    .map((reading) => Math.abs(reading.value - value));
  const rows = (list: readonly Reading[]): number => list.reduce((sum, reading) => sum + reading.rows, 0);
  return {
    kind: "robust peak",
    value: kilogramsPerSecond(value),
    u: moves.length === 0 ? 0 : Math.min(...moves) / Math.sqrt(12),
    from: (kept[from] as Reading).first,
    to: (kept[to] as Reading).last,
    used: rows(kept),
    removed: { missing, dropouts, spikes: rows(readings) - rows(kept) },
  };
}

/** Median step of the times; checks both lists on the way. */
function usualStep(times: ArrayLike<number>, values: ArrayLike<number>): number {
  if (times.length !== values.length) {
    throw new BellmouthError({
      code: "E_SHAPE",
      message: "a log needs as many times as values",
      found: `${times.length} times and ${values.length} values`,
      accepted: "two lists of equal length",
      at: { path: "values" },
    });
  }
  const steps: number[] = [];
  for (let i = 0; i < times.length; i++) {
    const time = requireNumber(times[i] as number, `times[${i}]`, "s");
    const before = times[i - 1];
    if (before !== undefined && time < before) {
      throw new BellmouthError({
        code: "E_ORDER",
        message: "times must not go back",
        found: `${time} after ${before}`,
        accepted: `a time of ${before} or later`,
        at: { path: `times[${i}]` },
      });
    }
    if (before !== undefined && time > before) steps.push(time - before);
  }
  return steps.length === 0 ? 1 : middle(steps);
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

function isSpike(readings: readonly Reading[], i: number, limit: number): boolean {
  const around = [...readings.slice(Math.max(0, i - 3), i), ...readings.slice(i + 1, i + 4)].map(
    (reading) => reading.value,
  );
  if (around.length < 3) return false;
  const centre = middle(around);
  const spread = 1.4826 * middle(around.map((value) => Math.abs(value - centre)));
  const off = (readings[i] as Reading).value - centre;
  // Only upwards: a reading too low cannot make a peak.
  return off > limit * Math.max(spread, LEAST_SPREAD * centre);
}

/** The run of readings with the highest least value among those that last at least `sustained`. */
function longestHigh(
  readings: readonly Reading[],
  sustained: number,
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
    while (from < to && end - (readings[from + 1] as Reading).first >= sustained) {
      if (queue[0] === from) queue.shift();
      from++;
    }
    if (!(end - (readings[from] as Reading).first >= sustained)) continue;
    const least = (readings[queue[0] as number] as Reading).value;
    if (least > most) {
      most = least;
      best = { from, to };
    }
  }
  return best;
}

import type { Timeline } from "./timeline.js";

/**
 * From dosing to reading: a fixed time, a number of crankshaft revolutions, a mass of gas that travels as a plug, the
 * sensor's first-order lag, and the time from the sensor to the log's stamp. The first and the last are not the same: the plug is pushed by
 * the air after the one and before the other.
 */
export interface TransportLaw {
  /** [s] */
  readonly fixed: number;
  /** [1]; needs engine speed, else 0 */
  readonly revolutions: number;
  /** [kg] */
  readonly gas: number;
  /** [s] */
  readonly lag: number;
  /** What the sensor showed this long ago is stamped now [s]. */
  readonly late: number;
}

/** For every row, where on the grid its mixture was dosed, and the sensor's recursion. */
export interface Transport {
  /** Row before the instant of dosing and the share of the way to the next [1]. */
  readonly row: Int32Array;
  readonly share: Float64Array;
  /** The sensor's recursion for input joined by straight lines: y1 = decay y0 + before u0 + now u1. */
  readonly decay: number;
  readonly before: number;
  readonly now: number;
  /** 1 where the mixture read is known: dosing instant on the grid, fuelled, and earlier doubts forgotten by the sensor. */
  readonly known: Uint8Array;
}

/** What is left after one step of what a first-order lag held [1]; 0 for a lag that is next to none. */
export const lagDecay = (lag: number, step: number): number =>
  lag > step * 1e-3 ? Math.exp(-step / lag) : 0;

/** Mean of that over the step [1]: the weights of `lagRecursion` are `mean - decay` and `1 - mean`. */
export const lagMean = (decay: number, lag: number, step: number): number =>
  decay === 0 ? 0 : ((1 - decay) * lag) / step;

/** Exact recursion of a first-order lag over one step for input joined by straight lines. */
export function lagRecursion(
  lag: number,
  step: number,
): { readonly decay: number; readonly before: number; readonly now: number } {
  const decay = lagDecay(lag, step);
  const mean = lagMean(decay, lag, step);
  return { decay, before: mean - decay, now: 1 - mean };
}

/**
 * Cumulative air through the exhaust [kg] up to each row.
 *
 * @param drawn air that the cylinders draw [kg/s]
 */
export function cumulativeAir(drawn: Float64Array, step: number): Float64Array {
  const sum = new Float64Array(drawn.length);
  for (let t = 1; t < sum.length; t++) sum[t] = sum[t - 1]! + 0.5 * (drawn[t]! + drawn[t - 1]!) * step;
  return sum;
}

/**
 * Dosing instants of all rows. The plug is followed by the air the cylinders draw: the gas read at t left the valve when the
 * cumulative air was less by the plug's mass.
 */
export function transportOf(timeline: Timeline, air: Float64Array, law: TransportLaw): Transport {
  const { grid, restart, clean, speed } = timeline;
  const { n, step } = grid;
  const row = new Int32Array(n);
  const share = new Float64Array(n);
  const known = new Uint8Array(n);
  const recursion = lagRecursion(law.lag, step);
  const late = law.late / step;
  // Made before the loop, so that nothing stands behind it (see series.ts).
  const { decay, before, now: weight } = recursion;
  const transport: Transport = { row, share, decay, before, now: weight, known };
  const forget = Math.max(recursion.decay, Math.exp(-step / 0.05));
  let begin = 0;
  let valve = 0;
  let doubt = 1;
  for (let t = 0; t < n; t++) {
    if (restart[t] === 1) {
      begin = t;
      valve = t;
      doubt = 1;
    }
    const sensed = Math.max(begin, t - late);
    const whole = Math.floor(sensed);
    const now = air[whole]! + (sensed > whole ? (sensed - whole) * (air[whole + 1]! - air[whole]!) : 0);
    const mass = now - law.gas;
    while (valve < t && air[valve + 1]! <= mass) valve++;
    const rise = air[valve + 1 < n ? valve + 1 : valve]! - air[valve]!;
    let at = valve + (rise > 0 ? (mass - air[valve]!) / rise : 0);
    if (!(at <= sensed)) at = sensed;
    at -= law.fixed / step;
    if (law.revolutions !== 0) {
      const turns = speed[valve]!;
      if (turns > 1) at -= law.revolutions / (turns * step);
    }
    let ok = 1;
    if (!(at >= begin) || !(t - late >= begin)) {
      at = Math.max(begin, at);
      ok = 0;
    }
    let i = Math.floor(at);
    if (i >= n - 1) i = Math.max(begin, n - 2);
    // Gas does not overtake: a jump of engine speed must not send the dosing instant back.
    if (t > begin && at < row[t - 1]! + share[t - 1]!) {
      at = row[t - 1]! + share[t - 1]!;
      i = row[t - 1]!;
    }
    row[t] = i;
    share[t] = at - i;
    const next = i + 1 < n ? i + 1 : i;
    doubt = forget * doubt + (1 - forget) * (ok === 1 && clean[i] === 1 && clean[next] === 1 ? 0 : 1);
    known[t] = doubt < 0.01 ? 1 : 0;
  }
  return transport;
}

/** A series of what was dosed, as the sensor reads it: delayed, then lagged. */
export function carried(series: Float64Array, transport: Transport, restart: Uint8Array): Float64Array {
  const { row, share, decay, before, now } = transport;
  const n = series.length;
  const out = new Float64Array(n);
  let state = 0;
  let last = 0;
  for (let t = 0; t < n; t++) {
    const i = row[t]!;
    const a = series[i]!;
    const f = share[t]!;
    const u = f === 0 ? a : a + f * (series[i + 1 < n ? i + 1 : i]! - a);
    state = restart[t] === 1 ? u : decay * state + before * last + now * u;
    last = u;
    out[t] = state;
  }
  return out;
}

/** First-order low-pass of a series [same unit] with a time constant per row or one for all [s]. */
export function lowPass(
  series: Float64Array,
  lag: number | Float64Array,
  step: number,
  restart: Uint8Array,
): Float64Array {
  const n = series.length;
  const out = new Float64Array(n);
  let state = 0;
  const fixed = typeof lag === "number" ? lagRecursion(lag, step) : undefined;
  for (let t = 0; t < n; t++) {
    if (restart[t] === 1 || t === 0) state = series[t]!;
    else {
      const { decay, before, now } = fixed ?? lagRecursion((lag as Float64Array)[t]!, step);
      state = decay * state + before * series[t - 1]! + now * series[t]!;
    }
    out[t] = state;
  }
  return out;
}

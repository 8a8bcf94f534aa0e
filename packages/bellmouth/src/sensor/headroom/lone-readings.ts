/** A reading of a polled channel: one value, perhaps repeated over rows in which other channels were polled. */
export interface Reading {
  readonly value: number;
  readonly rows: number;
  /** first and last row that show it [s] */
  readonly first: number;
  readonly last: number;
}

/** Another channel of the same drive. */
export interface EngineChannel {
  /** [s], not decreasing, on the clock of the flow's times */
  readonly times: ArrayLike<number>;
  /** in any one unit; NaN is a missing sample */
  readonly values: ArrayLike<number>;
}

/** What the engine did meanwhile. Either alone decides nothing: full throttle at low speed moves little air, and so does overrun at high speed. */
export interface EngineState {
  readonly speed: EngineChannel;
  /** manifold pressure, or throttle opening where the throttle controls the load */
  readonly load: EngineChannel;
}

/** Which readings are spikes. */
export interface LoneReadings {
  /** indices that are left out as spikes */
  readonly spikes: ReadonlySet<number>;
  /** indices of spikes that only their neighbours speak against, in a log so slow that a short pull looks alike */
  readonly doubtful: readonly number[];
}

// Judgement, no source: how far above its neighbours a reading may stand when they were taken close together, how much
// more each second between them allows, and at most.
const RATIO_AT_ONCE = 1.25;
const RATIO_PER_SECOND = 0.25;
const RATIO_MOST = 1.6;
/** ... and when a pull goes on as it went. */
const RATIO_ON = 2;
/** A lone reading no higher than this over the highest reading with a neighbour is that engine's flow [1]. */
const ABOVE_KNOWN = 1.25;
/** Pace from which a short pull may show in one reading alone [s]: throttle opened and closed within two of them. */
const SLOW = 0.5;
/** Flow over speed and load [1]: this many times the upper quartile of like readings is contradicted by them. */
const OVER_STATE = 1.3;
/** Loads within this factor are alike, where so many readings have them [1]. */
const LIKE_LOAD = 1.25;
const LIKE_READINGS = 8;
/** Most readings held against the engine's state: a log with more is not one of spikes. */
const MOST_JUDGED = 500;

/**
 * Tells spikes from pulls, from the highest reading down to the first that is flow. A reading with a neighbour that comes
 * near it, or on the line through two of them, is flow unless the engine's state contradicts it. One that stands alone is
 * flow if that state allows it; where the log has no such channels, if it is little above what the engine reached elsewhere.
 *
 * @param readings in order of time [kg/s]
 * @param pace     usual time from reading to reading [s]
 * @param hold     longest time a reading speaks for [s]
 */
export function loneReadings(
  readings: readonly Reading[],
  pace: number,
  hold: number,
  engine: EngineState | undefined,
): LoneReadings {
  const out = new Set<number>();
  const spikes = new Set<number>();
  const alone: number[] = [];
  const reach = 2 * Math.max(pace, hold);
  const judge = engine === undefined ? undefined : stateJudge(engine, readings, pace);
  const order = readings
    .map((_, i) => i)
    .sort((a, b) => (readings[b] as Reading).value - (readings[a] as Reading).value);
  let known = 0;
  let judged = 0;
  for (const i of order) {
    const supported = isSupported(readings, i, pace, reach, out);
    const told = judged++ < MOST_JUDGED ? judge?.(i) : undefined;
    if (told === "contradicted") spikes.add(i);
    else if (supported || told === "possible") {
      known = (readings[i] as Reading).value;
      break;
    } else alone.push(i);
    out.add(i);
  }
  const unlikely = alone.filter((i) => (readings[i] as Reading).value > ABOVE_KNOWN * known);
  for (const i of unlikely) spikes.add(i);
  return { spikes, doubtful: pace >= SLOW ? unlikely : [] };
}

function isSupported(
  readings: readonly Reading[],
  i: number,
  pace: number,
  reach: number,
  out: ReadonlySet<number>,
): boolean {
  const own = readings[i] as Reading;
  const gap = (other: Reading): number => Math.max(own.first - other.last, other.first - own.last, 0);
  const next = (from: number, side: number): number => {
    let j = from + side;
    while (out.has(j)) j += side;
    const reading = readings[j];
    return reading !== undefined && gap(reading) <= reach ? j : -1;
  };
  // A value that stayed for several readings is its own neighbour.
  if (own.last - own.first >= 2 * pace) return true;
  const sides = [-1, 1].map((side) => ({ side, j: next(i, side) })).filter(({ j }) => j >= 0);
  // Without a neighbour near enough nothing speaks against it.
  if (sides.length === 0) return true;
  return sides.some(({ side, j }) => {
    const beside = readings[j] as Reading;
    const ratio = Math.min(RATIO_AT_ONCE + RATIO_PER_SECOND * gap(beside), RATIO_MOST);
    if (own.value <= ratio * beside.value) return true;
    // A pull that goes on as it went: no further up than its last step led, and by half of that.
    const further = readings[next(j, side)];
    return (
      further !== undefined &&
      beside.value > further.value &&
      own.value <= Math.min(beside.value + 1.5 * (beside.value - further.value), RATIO_ON * beside.value)
    );
  });
}

/**
 * Holds a reading against the others by its flow over speed and load, to which air flow is about proportional at like load.
 * Channels are polled in turn, so all take the highest of both around them.
 */
function stateJudge(
  engine: EngineState,
  readings: readonly Reading[],
  pace: number,
): (i: number) => "contradicted" | "possible" | undefined {
  const speed = highestAround(engine.speed, readings, pace);
  const load = highestAround(engine.load, readings, pace);
  const share = readings.map(({ value }, i) => value / ((speed[i] as number) * (load[i] as number)));
  const upper = (of: readonly number[]): number => {
    const sorted = of.filter(Number.isFinite).sort((a, b) => a - b);
    return sorted[Math.floor(0.75 * (sorted.length - 1))] ?? Number.NaN;
  };
  const usual = upper(share);
  return (i) => {
    const own = share[i] as number;
    const at = load[i] as number;
    if (!Number.isFinite(own) || Number.isNaN(usual)) return undefined;
    const like = share.filter(
      (_, j) => j !== i && (load[j] as number) <= LIKE_LOAD * at && (load[j] as number) >= at / LIKE_LOAD,
    );
    const bound = like.length >= LIKE_READINGS ? upper(like) : usual;
    return own > OVER_STATE * bound ? "contradicted" : "possible";
  };
}

/** Highest sample of a channel within `reach` of each reading; NaN where there is none. */
function highestAround(
  channel: EngineChannel,
  readings: readonly Reading[],
  reach: number,
): readonly number[] {
  let start = 0;
  return readings.map(({ first, last }) => {
    while (start < channel.times.length && (channel.times[start] as number) < first - reach) start++;
    let most = Number.NaN;
    for (let k = start; k < channel.times.length && (channel.times[k] as number) <= last + reach; k++) {
      const value = channel.values[k] as number;
      if (!Number.isNaN(value) && !(value <= most)) most = value;
    }
    return most;
  });
}

import type { LogChannel } from "./channel.js";
import type { Refresh } from "./refresh.js";

/** Channels that never stand still while an engine runs, so that standing still means a fault. */
export const LIVE: ReadonlySet<LogChannel> = new Set<LogChannel>([
  "signal",
  "airflow",
  "engineSpeed",
  "manifoldPressure",
]);

/** Standing still counts from this time, this many polls, and this many of its own usual longest pauses. */
const STALE_TIME = 3;
const STALE_POLLS = 5;
const STALE_PAUSES = 2;
/** Its own pauses excuse a channel no longer than this [s]: one that is dead for most of a log has nothing but long ones. */
const LONGEST_PAUSE = 15;
/** Start and end of a pause in which nothing is concluded. */
const EDGE_TIME = 1;
const EDGE_POLLS = 2;

export interface Mover {
  readonly index: number;
  /** Highest over lowest value during the run that counts as far. */
  readonly factor: number;
  low: number;
  high: number;
}

/** What standing still is judged by. */
export interface Standing {
  readonly refresh: Refresh;
  readonly refreshTime: number;
  /** When the present run of one value began. */
  readonly runStart: number;
  /** Channels that should not move far while this one stands still. */
  readonly movers: readonly Mover[];
  /** When they had moved far; NaN before that. */
  movedAt: number;
  stale: boolean;
}

/**
 * True when the live channel has stood still for too long at this row. An idling engine may well repeat a coarse
 * reading for a minute, so the time alone says nothing: others must have moved far in the middle of it, which
 * leaves out what still settles when it begins and what already moves when it ends.
 */
export function isStale(
  track: Standing,
  values: readonly Float64Array[],
  time: number,
  row: number,
): boolean {
  if (track.stale) return true;
  const edge = Math.max(EDGE_TIME, EDGE_POLLS * track.refreshTime);
  const still = time - track.runStart;
  if (still < edge) return false;
  for (const mover of track.movers) {
    const value = (values[mover.index] as Float64Array)[row] as number;
    if (!(value > 0)) continue;
    if (value < mover.low) mover.low = value;
    if (value > mover.high) mover.high = value;
    if (mover.high > mover.factor * mover.low && !(track.movedAt <= time)) track.movedAt = time;
  }
  const limit = Math.max(
    STALE_TIME,
    STALE_POLLS * track.refreshTime,
    STALE_PAUSES * Math.min(track.refresh.pause, LONGEST_PAUSE),
  );
  track.stale = still > limit && time - track.movedAt > edge;
  return track.stale;
}

/** Engine speed tells best; where it is the one in question, or missing, another has to double. */
export function moversOf(channel: LogChannel, channels: readonly LogChannel[]): Mover[] {
  const speed = channels.indexOf("engineSpeed");
  const fresh = { low: Number.POSITIVE_INFINITY, high: 0 };
  if (!LIVE.has(channel)) return [];
  if (channel !== "engineSpeed" && speed >= 0) return [{ index: speed, factor: 1.3, ...fresh }];
  return channels.flatMap((other, index) =>
    LIVE.has(other) && other !== channel ? [{ index, factor: 2, ...fresh }] : [],
  );
}

import type { LogChannel, LogFinding, LoggedChannel } from "./channel.js";
import { type Growing, makeGrowing } from "./growing.js";
import { estimateRefresh, type Refresh, settlePaces } from "./refresh.js";
import { isStale, LIVE, moversOf, type Standing } from "./standing-still.js";

/** Rows looked at before channels are told apart by their refresh. */
const PROBE_ROWS = 16_384;
export interface Recorder {
  /** Takes rows: values of channel `c` in SI are `values[c][0..rows)`, which the recorder may overwrite. */
  readonly feed: (
    times: Float64Array,
    values: readonly Float64Array[],
    rows: number,
    gapBefore: (row: number) => boolean,
  ) => void;
  /** Channels recorded since the last cut. `last` also closes what is open. */
  readonly cut: (last: boolean) => { readonly [channel in LogChannel]?: LoggedChannel };
  readonly rows: () => number;
  readonly findings: () => readonly LogFinding[];
}

interface Track extends Standing {
  readonly channel: LogChannel;
  readonly values: Growing;
  /** Own times, for channels that are not new with every row. */
  readonly times: Growing;
  refresh: Refresh;
  /** Taken as new with every row. */
  perRow: boolean;
  refreshTime: number;
  last: number;
  lastFresh: number;
  /** The present run of one value: when it began, and where in `values` its first sample stands (-1: before the cut). */
  runStart: number;
  runIndex: number;
  /** Rows of the present run, and whether it is too long for polls that nearly always bring a new value. */
  runRows: number;
  slow: boolean;
  slowRuns: number;
  slowFrom: number;
  /** Where the last gap before the present row ended [s]. */
  gapAt: number;
}

/** A channel of which at least this share of polls brings a new value repeats itself only when it is not polled … */
const LIVELY = 0.85;
/** … and a run of one value this many polls long says so: by chance once in 10 000 or less. */
const SLOW_POLLS = 5;
const isLively = (track: Track): boolean => LIVE.has(track.channel) && track.refresh.moves >= LIVELY;

/**
 * Sorts rows into channels with their own times: a sample where the value was fresh, none where it only repeats what
 * an earlier poll brought, and NaN where a live channel stood still while others moved.
 */
export function makeRecorder(
  channels: readonly LogChannel[],
  options: {
    readonly removeStale: boolean;
    /** Take every channel as new with every row: rows without a time of their own. */
    readonly everyRow: boolean;
    readonly rowPeriod: () => number;
  },
): Recorder {
  const rowTimes = makeGrowing();
  const tracks = channels.map(
    (channel): Track => ({
      channel,
      values: makeGrowing(),
      times: makeGrowing(),
      refresh: { kind: "unknown", period: 0, rows: 0, pause: 0, moves: 0 },
      perRow: false,
      refreshTime: 0,
      last: Number.NaN,
      lastFresh: Number.NEGATIVE_INFINITY,
      runStart: Number.NaN,
      runIndex: -1,
      runRows: 0,
      slow: false,
      slowRuns: 0,
      slowFrom: 0,
      gapAt: Number.NEGATIVE_INFINITY,
      movers: moversOf(channel, channels),
      movedAt: Number.NaN,
      stale: false,
    }),
  );
  const stale: LogFinding[] = [];
  let rows = 0;
  let lastTime = 0;
  /** Rows kept until enough of them are there to tell how channels refresh. */
  let probe: { times: Float64Array; values: Float64Array[]; gaps: boolean[] }[] | undefined = [];
  let probeRows = 0;

  const decide = (): void => {
    if (probe === undefined) return;
    const held = probe;
    probe = undefined;
    const times = joined(held.map((block) => block.times));
    tracks.forEach((track, c) => {
      track.refresh = estimateRefresh(times, joined(held.map((block) => block.values[c] as Float64Array)));
    });
    const paces = settlePaces(
      tracks.map(({ refresh }) => refresh),
      options.everyRow,
    );
    tracks.forEach((track, c) => {
      const pace = paces[c] as number | null;
      track.perRow = pace === null;
      track.refreshTime = pace ?? options.rowPeriod();
    });
    for (const block of held)
      sort(block.times, block.values, block.times.length, (i) => block.gaps[i] === true);
  };

  const feed: Recorder["feed"] = (times, values, n, gapBefore) => {
    rows += n;
    if (probe === undefined) {
      sort(times, values, n, gapBefore);
      return;
    }
    probe.push({
      times: times.slice(0, n),
      values: values.map((column) => column.slice(0, n)),
      gaps: Array.from({ length: n }, (_, i) => gapBefore(i)),
    });
    probeRows += n;
    if (probeRows >= PROBE_ROWS) decide();
  };

  const closeRun = (track: Track, until: number): void => {
    if (track.stale) {
      stale.push({
        kind: "stale",
        channel: track.channel,
        count: 1,
        from: track.runStart,
        to: until,
        message: options.everyRow
          ? `${track.channel} stands still from row ${track.runStart} for ${until - track.runStart} rows while others move far`
          : `${track.channel} stands still from ${track.runStart.toFixed(2)} s for ${(until - track.runStart).toFixed(2)} s while others move far`,
      });
    } else if (track.slow) {
      if (track.slowRuns === 0) track.slowFrom = track.runStart;
      track.slowRuns += 1;
    }
    track.stale = false;
    track.slow = false;
    track.runRows = 0;
    track.movedAt = Number.NaN;
    for (const mover of track.movers) {
      mover.low = Number.POSITIVE_INFINITY;
      mover.high = 0;
    }
  };

  /** Makes the samples of a run missing, but for its first. `pending` are values not yet in the list. */
  const forget = (track: Track, pending: Float64Array | undefined, upTo: number): void => {
    const inList = track.values.length();
    for (let i = track.runIndex + 1; i < inList; i++) track.values.set(i, Number.NaN);
    if (pending === undefined) return;
    for (let i = Math.max(0, track.runIndex + 1 - inList); i <= upTo; i++) pending[i] = Number.NaN;
  };

  const sortEveryRow = (
    track: Track,
    times: Float64Array,
    values: readonly Float64Array[],
    column: Float64Array,
    n: number,
  ): void => {
    if (LIVE.has(track.channel)) {
      const base = track.values.length();
      const lively = isLively(track) && !options.everyRow;
      for (let i = 0; i < n; i++) {
        const value = column[i] as number;
        if (Number.isNaN(value)) continue;
        if (value !== track.last) {
          closeRun(track, times[i] as number);
          track.last = value;
          track.runStart = times[i] as number;
          track.runIndex = base + i;
        } else if (track.stale) {
          if (options.removeStale) column[i] = Number.NaN;
        } else if (isStale(track, values, times[i] as number, i)) {
          if (options.removeStale) forget(track, column, i);
        } else if (lively && value !== 0) {
          track.runRows += 1;
          if (track.slow) column[i] = Number.NaN;
          else if (track.runRows >= SLOW_POLLS) {
            track.slow = true;
            forget(track, column, i);
          }
        }
      }
    }
    track.values.append(column, 0, n);
  };

  const push = (track: Track, time: number, value: number): void => {
    track.times.push(time);
    track.values.push(value);
    track.lastFresh = time;
  };

  const sortHeld = (
    track: Track,
    times: Float64Array,
    values: readonly Float64Array[],
    column: Float64Array,
    n: number,
    gapBefore: (row: number) => boolean,
  ): void => {
    const period = track.refreshTime;
    const isLive = LIVE.has(track.channel);
    const lively = isLively(track);
    for (let i = 0; i < n; i++) {
      const value = column[i] as number;
      const time = times[i] as number;
      if (gapBefore(i)) track.gapAt = time;
      if (Number.isNaN(value)) continue;
      if (value !== track.last) {
        closeRun(track, time);
        push(track, time, value);
        track.last = value;
        track.runStart = time;
        track.runIndex = track.values.length() - 1;
        continue;
      }
      // What a poll brought before a gap says nothing about after it.
      if (track.lastFresh < track.gapAt) track.lastFresh = time;
      if (isLive && isStale(track, values, time, i) && options.removeStale) {
        forget(track, undefined, i);
        continue;
      }
      if (lively && value !== 0 && time - track.runStart > SLOW_POLLS * period) {
        if (!track.slow) forget(track, undefined, i);
        track.slow = true;
        track.lastFresh = time;
        continue;
      }
      // A poll that found the same value: it shows once the next poll is due without a change.
      while (time - track.lastFresh > 1.5 * period) push(track, track.lastFresh + period, value);
    }
  };

  const sort = (
    times: Float64Array,
    values: readonly Float64Array[],
    n: number,
    gapBefore: (row: number) => boolean,
  ): void => {
    tracks.forEach((track, c) => {
      const column = values[c] as Float64Array;
      if (track.perRow) sortEveryRow(track, times, values, column, n);
      else if (track.refresh.kind === "sparse") {
        for (let i = 0; i < n; i++) {
          const value = column[i] as number;
          if (!Number.isNaN(value)) push(track, times[i] as number, value);
        }
      } else sortHeld(track, times, values, column, n, gapBefore);
    });
    rowTimes.append(times, 0, n);
    if (n > 0) lastTime = times[n - 1] as number;
  };

  return {
    feed,
    rows: () => rows,
    cut(last) {
      decide();
      if (last) for (const track of tracks) closeRun(track, lastTime);
      const shared = rowTimes.take();
      const found: { [channel in LogChannel]?: LoggedChannel } = {};
      for (const track of tracks) {
        found[track.channel] = {
          time: track.perRow ? shared : track.times.take(),
          value: track.values.take(),
          refresh: track.refreshTime,
        };
        track.runIndex = -1;
      }
      return found;
    },
    findings: () => [
      ...tracks.flatMap(({ channel, refresh, perRow, refreshTime }): LogFinding[] => {
        if (rows === 0 || options.everyRow) return [];
        if (refresh.kind === "unknown") {
          const taken = perRow ? "with every row" : `every ${refreshTime.toPrecision(3)} s, as others are`;
          return [
            {
              kind: "constant",
              channel,
              count: 1,
              message: `${channel} changes too seldom to tell how often it is refreshed; it is taken to be new ${taken}`,
            },
          ];
        }
        if (perRow) return [];
        return [
          {
            kind: "slow",
            channel,
            count: 1,
            message: `${channel} is new every ${refreshTime.toPrecision(3)} s, rows come every ${options.rowPeriod().toPrecision(3)} s; it is used at its own rate`,
          },
        ];
      }),
      ...stale,
      ...tracks.flatMap(({ channel, slowRuns, slowFrom }): LogFinding[] =>
        slowRuns === 0
          ? []
          : [
              {
                kind: "slowed",
                channel,
                count: slowRuns,
                from: slowFrom,
                message: `${channel} is refreshed more seldom than usual ${slowRuns} times (first at ${slowFrom.toFixed(2)} s); values that only repeat are no samples there`,
              },
            ],
      ),
    ],
  };
}

function joined(parts: readonly Float64Array[]): Float64Array {
  const all = new Float64Array(parts.reduce((n, part) => n + part.length, 0));
  let at = 0;
  for (const part of parts) {
    all.set(part, at);
    at += part.length;
  }
  return all;
}

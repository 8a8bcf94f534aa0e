import type { LogFinding } from "./channel.js";

/** Half a day [s]: a time of day that falls by more has passed midnight. */
const HALF_DAY = 43_200;
const DAY = 86_400;
/** A step ahead beyond this [s] is a clock that was set, or another drive: it counts as a pause of `PAUSE`, so that no time is made of it. */
const LONGEST_GAP = 600;
const PAUSE = 60;

export interface Timeline {
  /**
   * Turns the stamps of a block of rows into times since the start of the log [s], not decreasing, in place of
   * `times`. Returns how many rows at the end wait for the stamp that follows (0 when `last`).
   */
  readonly place: (stamps: Float64Array, rows: number, times: Float64Array, last: boolean) => number;
  /** Usual time between rows so far [s]. */
  readonly rowPeriod: () => number;
  readonly startStamp: () => number | null;
  /** True when a gap lies just before row `i` of the block placed last. */
  readonly gapBefore: (i: number) => boolean;
  readonly findings: () => readonly LogFinding[];
}

/**
 * Puts rows in time. Stamps repeat (a coarse clock), go back (a corrected clock), roll over at midnight, are missing,
 * and leave gaps; each of these is repaired in the plainest way and counted.
 *
 * @param options.clock  true for times of day, which roll over
 * @param options.period time between rows when there is no time column [s]
 */
export function makeTimeline(options: { readonly clock: boolean; readonly period?: number }): Timeline {
  let start: number | null = null;
  /** What to add to a stamp to get the time since the start. */
  let offset = 0;
  let lastStamp = Number.NaN;
  let lastTime = Number.NaN;
  let period = options.period ?? 0;
  /** Usual difference of successive different stamps [s]. */
  let step = 0;
  let steps = new Float64Array(0);
  let gaps = new Set<number>();
  const found: LogFinding[] = [];
  let repeated = 0;
  let repeatedMost = 0;
  let missing = 0;
  let backward = 0;
  let rowsSeen = 0;
  const LISTED = 200;

  const list = (finding: LogFinding): void => {
    if (found.length < LISTED) found.push(finding);
  };

  /** Learns the usual step and period from a block. */
  const learn = (stamps: Float64Array, rows: number): void => {
    if (steps.length < rows) steps = new Float64Array(rows);
    let count = 0;
    let distinct = 0;
    let stamped = 0;
    let previous = Number.NaN;
    for (let i = 0; i < rows; i++) {
      const stamp = stamps[i] as number;
      if (Number.isNaN(stamp)) {
        // A step over a row without a stamp is two rows long.
        previous = Number.NaN;
        continue;
      }
      stamped += 1;
      if (stamp !== previous) distinct += 1;
      if (stamp > previous) steps[count++] = stamp - previous;
      previous = stamp;
    }
    if (count === 0) return;
    // Some hundred of them, from all over the block, tell the middle one.
    const stride = Math.ceil(count / 512);
    let some = 0;
    for (let i = 0; i < count; i += stride) steps[some++] = steps[i] as number;
    const sorted = steps.subarray(0, some).sort();
    step = sorted[(some - 1) >> 1] as number;
    period = (step * distinct) / stamped;
  };

  const placeByCount = (rows: number, times: Float64Array): number => {
    if (start === null && rows > 0) start = 0;
    for (let i = 0; i < rows; i++) times[i] = (rowsSeen + i) * period;
    rowsSeen += rows;
    return 0;
  };

  const place = (stamps: Float64Array, rows: number, times: Float64Array, last: boolean): number => {
    gaps = new Set();
    if (options.period !== undefined) return placeByCount(rows, times);
    if (rows >= 16 || step === 0) learn(stamps, rows);
    let i = 0;
    while (i < rows) {
      const stamp = stamps[i] as number;
      if (Number.isNaN(stamp)) {
        missing += 1;
        times[i] = Number.isNaN(lastTime) ? 0 : lastTime + period;
        lastTime = times[i] as number;
        i += 1;
        continue;
      }
      // Rows that share the stamp.
      let next = i + 1;
      while (next < rows && stamps[next] === stamp) next += 1;
      if (next === rows && !last && rows - i <= rows >> 1) return rows - i;
      const count = next - i;
      if (start === null) {
        start = stamp;
        offset = -stamp - (Number.isNaN(lastTime) ? 0 : -lastTime - period);
      }
      let time = stamp + offset;
      if (time <= lastTime) {
        const by = stamp - lastStamp;
        if (options.clock && by < -HALF_DAY) {
          offset += DAY;
          time += DAY;
          list({ kind: "midnight", count: 1, from: lastTime, message: "the time of day passes midnight" });
        }
        if (time <= lastTime) {
          backward += 1;
          const go = lastTime + period - time;
          offset += go;
          time += go;
          list({
            kind: "clockStep",
            count: 1,
            from: lastTime,
            message: `the clock goes back by ${tidy(-by)} s at ${tidy(lastTime)} s; rows go on at the usual pace`,
          });
        }
      } else if (time - lastTime > Math.max(LONGEST_GAP, 10 * period)) {
        gaps.add(i);
        const by = time - lastTime;
        offset -= by - PAUSE;
        time = lastTime + PAUSE;
        list({
          kind: "clockStep",
          count: 1,
          from: lastTime,
          message: `the clock goes ahead by ${tidy(by)} s at ${tidy(lastTime)} s; rows go on after a pause of ${PAUSE} s`,
        });
      } else if (time - lastTime > Math.max(0.5, 10 * period, 2.5 * step)) {
        gaps.add(i);
        list({
          kind: "gap",
          count: 1,
          from: lastTime,
          to: time,
          message: `no rows for ${tidy(time - lastTime)} s from ${tidy(lastTime)} s`,
        });
      }
      if (count === 1) times[i] = time;
      else {
        repeated += count - 1;
        if (count > repeatedMost) repeatedMost = count;
        // Spread over the step to the stamp that follows, or over the usual one where that is unknown or strange.
        const following = next < rows ? (stamps[next] as number) - stamp : step;
        const span = following > 0 && following <= 2.5 * step ? following : step;
        for (let k = 0; k < count; k++) times[i + k] = time + (span * k) / count;
      }
      lastStamp = stamp;
      lastTime = times[next - 1] as number;
      i = next;
    }
    return 0;
  };

  return {
    place,
    rowPeriod: () => period,
    startStamp: () => start,
    gapBefore: (i) => gaps.has(i),
    findings: () => [
      ...found,
      ...(repeated > 0
        ? [
            {
              kind: "repeatedTime" as const,
              count: repeated,
              message: `${repeated} rows repeat the stamp before them (up to ${repeatedMost} share one); they are spread over the step that follows`,
            },
          ]
        : []),
      ...(missing > 0
        ? [
            {
              kind: "missingTime" as const,
              count: missing,
              message: `${missing} rows have no readable time and are placed at the usual pace`,
            },
          ]
        : []),
      ...(backward > LISTED
        ? [
            {
              kind: "clockStep" as const,
              count: backward,
              message: `the clock goes back ${backward} times in all`,
            },
          ]
        : []),
    ],
  };
}

const tidy = (value: number): string => String(Number(value.toPrecision(6)));

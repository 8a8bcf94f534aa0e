/** How a channel refreshes, judged from a stretch of rows. */
export interface Refresh {
  readonly kind:
    | "everyRow" // new with every row
    | "held" // repeats its value between polls
    | "sparse" // written only when polled; other cells are empty
    | "unknown"; // changes too seldom, or at no pace of its own
  /** Time between polls [s]; 0 for `everyRow` and `unknown`. */
  readonly period: number;
  /** Rows between polls; 0 likewise. */
  readonly rows: number;
  /** Longest time it usually stands still [s]: all but one in a hundred of its pauses are shorter. */
  readonly pause: number;
  /** Share of polls that bring another value than the one before. */
  readonly moves: number;
}

/** Changes that say something about a refresh period. */
const ENOUGH = 8;
/** Share of spacings that must be whole multiples of a period, and how near, for the period to be believed. */
const REGULAR = 0.8;
const NEAR = 0.2;
/** Multiples looked at: in longer pauses every spacing is near some multiple. */
const MULTIPLES = 3.5;

/**
 * Refresh of a channel from its values in successive rows. A poll that finds the same value leaves no trace, so
 * changes of a polled channel are spaced by the poll's period or a multiple of it. The shortest spacing that is not
 * rare (a tenth of all) is tried as the period and believed only where the other spacings are multiples of it: the
 * changes of a channel that merely moves seldom come at no such pace.
 *
 * @param times  [s], not decreasing
 * @param values any unit; NaN where the cell is empty
 */
export function estimateRefresh(times: Float64Array, values: Float64Array, rows = times.length): Refresh {
  const rowGaps: number[] = [];
  const timeGaps: number[] = [];
  let filled = 0;
  let firstFilled = -1;
  let lastFilledRow = -1;
  const filledGaps: number[] = [];
  let changes = 0;
  let lastChange = -1;
  let previous = Number.NaN;
  for (let i = 0; i < rows; i++) {
    const value = values[i] as number;
    if (Number.isNaN(value)) continue;
    filled += 1;
    if (firstFilled < 0) firstFilled = i;
    else filledGaps.push((times[i] as number) - (times[lastFilledRow] as number));
    lastFilledRow = i;
    if (value !== previous && !Number.isNaN(previous)) {
      changes += 1;
      if (lastChange >= 0) {
        rowGaps.push(i - lastChange);
        timeGaps.push((times[i] as number) - (times[lastChange] as number));
      }
      lastChange = i;
    }
    previous = value;
  }
  // Empty cells between values, not only before the first one.
  const holes = firstFilled < 0 ? 0 : 1 - filled / (rows - firstFilled);
  const pause = quantile(timeGaps, 0.99);
  if (holes > 0.3 && filled > ENOUGH)
    return {
      kind: "sparse",
      period: quantile(filledGaps, 0.5),
      rows: 1 / (1 - holes),
      pause,
      moves: changes / filled,
    };
  if (rowGaps.length < ENOUGH) return { kind: "unknown", period: 0, rows: 0, pause, moves: 0 };
  const shortest = quantile(rowGaps, 0.1);
  if (shortest < 1.5) return { kind: "everyRow", period: 0, rows: 0, pause, moves: shareOfPolls(rowGaps, 1) };
  const polls = rowGaps
    .map((gap, i) => [gap, timeGaps[i] as number] as const)
    .filter(([gap]) => gap <= 1.5 * shortest);
  const poll = polls.reduce((sum, [gap]) => sum + gap, 0) / polls.length;
  const judged = rowGaps.filter((gap) => gap <= MULTIPLES * poll);
  const regular = judged.filter((gap) => Math.abs(gap / poll - Math.round(gap / poll)) <= NEAR);
  if (judged.length < ENOUGH || regular.length < REGULAR * judged.length) {
    return { kind: "unknown", period: 0, rows: 0, pause, moves: 0 };
  }
  return {
    kind: "held",
    period: quantile(
      polls.map(([, time]) => time),
      0.5,
    ),
    rows: poll,
    pause,
    moves: shareOfPolls(rowGaps, poll),
  };
}

/** Of the polls between changes that are no longer than a few polls apart, the share that brought the change: a stretch that was not polled says nothing. */
function shareOfPolls(rowGaps: readonly number[], poll: number): number {
  const polls = rowGaps.map((gap) => Math.max(1, Math.round(gap / poll))).filter((n) => n <= 8);
  return polls.length < ENOUGH ? 0 : polls.length / polls.reduce((sum, n) => sum + n, 0);
}

/** Rows a poll may take in a log whose other channels are new with every row. */
const LONGEST_POLL = 20;

/**
 * Pace at which samples of each channel are taken [s]; null for channels taken with every row.
 *
 * A channel that tells nothing about itself is taken to be polled as the others are: with every row, or, in a log
 * where most are held, at their usual pace. A coarse reading of something slow can change at a steady pace, too:
 * where most channels are new with every row, a pace of many rows is such a reading rather than a poll.
 */
export function settlePaces(refreshes: readonly Refresh[], everyRow: boolean): readonly (number | null)[] {
  const direct = refreshes.filter(({ kind }) => kind === "everyRow").length;
  const believed = refreshes.map(({ kind, rows, period }) => {
    if (kind !== "held" && kind !== "sparse") return 0;
    if (kind === "sparse" || rows <= LONGEST_POLL) return period;
    const alike = refreshes.filter((other) => other.kind === "held" && other.rows > rows / 3);
    return alike.length > direct ? period : 0;
  });
  const held = believed.filter((pace, i) => pace > 0 && refreshes[i]?.kind === "held");
  const usual = held.length > direct ? quantile(held, 0.5) : 0;
  return refreshes.map(({ kind }, i) => {
    if (everyRow) return null;
    if (kind === "sparse") return believed[i] as number;
    const pace = (believed[i] as number) > 0 ? (believed[i] as number) : kind === "everyRow" ? 0 : usual;
    // A pace of nothing would mean samples without end.
    return pace > 0 ? pace : null;
  });
}

/** Order statistic at a share of the list; 0 for none. */
function quantile(values: readonly number[], share: number): number {
  const sorted = Float64Array.from(values).sort();
  return sorted[Math.min(sorted.length - 1, Math.floor(share * sorted.length))] ?? 0;
}

import type { ColumnChannel } from "../../columns/index.js";
import type { DriveChannel } from "../drive.js";

/**
 * Channels a log can be read into: those of a drive, and some that gates and trials use: `ambientAir` [K], `load` [1], `closedLoop` (1 while
 * the fuelling follows the oxygen sensor) and `fuelCut` (1 while the injectors are shut off). SI, fractions for ratios.
 */
export type LogChannel = ColumnChannel;

/** A channel as read: samples where its value was fresh. */
export interface LoggedChannel extends DriveChannel {
  /**
   * Time between refreshes [s]. A channel that repeats its value between polls has one sample per poll, at the row
   * where the new value first stood.
   */
  readonly refresh: number;
}

/** A condition of the data. None of them is an error; all of them matter to someone. */
export interface LogFinding {
  readonly kind:
    | "noRows" // a header and nothing else
    | "gap" // time runs on without rows
    | "clockStep" // time went back; it goes on from there at the usual pace
    | "midnight" // a time of day rolled over
    | "repeatedTime" // several rows share a stamp; they are spread over the step that follows
    | "missingTime" // rows without a stamp; placed at the usual pace
    | "missing" // cells without a value
    | "unreadable" // cells that hold something else than a number
    | "shortRows" // rows with fewer cells than the header
    | "longRows" // rows with more cells than the header
    | "quotedRows" // rows that needed the general reader
    | "brokenQuotes" // rows whose quotes do not close
    | "textRows" // lines among the values that hold text: a repeated header, units, a comment
    | "cutRow" // the file ends inside a row; what was cut is missing
    | "slow" // a channel refreshed less often than rows are written
    | "constant" // a channel that changes too seldom to tell its refresh
    | "slowed" // a channel was refreshed more seldom than usual for a while; repeats are no samples
    | "impossible" // samples that are no readings of the channel; they are missing
    | "banks" // how far the two banks' columns are apart
    | "saturated" // a trim that stays at its limit
    | "stale"; // a channel stood still while others moved; its samples there are missing
  readonly channel?: LogChannel;
  /** Name of the column where no channel says more. */
  readonly column?: string;
  /** Number of rows, cells or times it happened. */
  readonly count: number;
  /** First line of the file where it was seen, from 1. */
  readonly line?: number;
  /** Since the start of the log [s]. */
  readonly from?: number;
  readonly to?: number;
  /** One sentence for people. */
  readonly message: string;
}

/** A drive with what the log said about itself. Can be given wherever a `Drive` is wanted. */
export interface LoggedDrive {
  readonly name?: string;
  readonly channels: { readonly [channel in LogChannel]?: LoggedChannel };
  /** Rows of values read. */
  readonly rows: number;
  /** Stamp of the first row in seconds: of the day, since 1970, or as the log counts; null when there are no rows. */
  readonly startStamp: number | null;
  /** Usual time between rows [s]; 0 when there are fewer than two, 1 for rows without time. */
  readonly rowPeriod: number;
  /** False for rows without time: `time` of every channel then counts rows, not seconds. */
  readonly timed: boolean;
  readonly findings: readonly LogFinding[];
}

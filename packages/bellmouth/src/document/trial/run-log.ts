import type { ColumnChannel, GivenColumns } from "../../columns/index.js";
import { readLog } from "../../drive/index.js";
import { BellmouthError } from "../../fault/index.js";
import type { RunSamples } from "../../intake/index.js";
import type { BuildContext } from "../document.js";
import { type LogReading, openLog, readingOf } from "../log-columns.js";

/** How the logs of a trial are written. */
export interface RunLogColumns {
  readonly given: GivenColumns;
  /** [1] */
  readonly fullThrottle: number | undefined;
}

export interface RunLog {
  readonly samples: RunSamples;
  readonly reading: LogReading;
}

/** Channels that a trial compares. */
const NEEDED: readonly ColumnChannel[] = [
  "engineSpeed",
  "manifoldPressure",
  "intakeAir",
  "throttle",
  "barometer",
];

/**
 * Reads the log of one run, by the reader of every log, and keeps its full-throttle rows.
 *
 * @param barometer outside pressure of the run [Pa], for a pressure that is measured from it
 * @returns samples in SI, and how the log was read
 * @throws `E_COLUMN` with questions where the log leaves something open, or has no engine speed; `E_TOO_LITTLE_DATA` when no row is at
 *   full throttle; faults of the log's reading
 */
export function readRunLog(
  name: string,
  columns: RunLogColumns,
  barometer: number,
  context: BuildContext,
): RunLog {
  const text = context.open(name);
  const file = context.nameOf(name);
  const given = {
    ...columns.given,
    outsidePressure: columns.given.outsidePressure ?? barometer,
    untimed: true,
  };
  const opened = openLog(text, given, file, NEEDED, { whole: true, trims: false });
  // A run is compared row by row: the order of its rows is enough.
  const log = readLog(
    text,
    opened.read.layout,
    { ...opened.mapping, time: { untimed: true } },
    { name: file, stale: "keep" },
  );
  const values = (channel: ColumnChannel): Float64Array | undefined => log.channels[channel]?.value;
  const speed = values("engineSpeed");
  if (speed === undefined) {
    throw new BellmouthError({
      code: "E_COLUMN",
      message: "this log has no engine speed",
      found: opened.read.columns
        .slice(0, 16)
        .map((column) => `"${column.name.slice(0, 40)}"`)
        .join(", "),
      accepted: "a column of engine speed, or 'engine-speed' in 'columns'",
      at: { file },
    });
  }
  const kept = fullThrottleRows(speed.length, values("throttle"), columns.fullThrottle, file);
  const pick = (from: Float64Array): number[] => kept.map((row) => from[row] as number);
  const pressure = values("manifoldPressure");
  const temperature = values("intakeAir");
  return {
    samples: {
      speed: pick(speed),
      ...(pressure === undefined ? {} : { pressure: pick(pressure) }),
      ...(temperature === undefined ? {} : { temperature: pick(temperature) }),
    },
    reading: readingOf(opened, name, log),
  };
}

/** Rows at full throttle; all of them where the document does not say from which opening on. */
function fullThrottleRows(
  rows: number,
  throttle: Float64Array | undefined,
  least: number | undefined,
  file: string,
): readonly number[] {
  const all = Array.from({ length: rows }, (_, row) => row);
  if (least === undefined) return all;
  if (throttle === undefined) {
    throw new BellmouthError({
      code: "E_COLUMN",
      message: "'full-throttle' needs the throttle opening, and this log has none",
      accepted: "a column of throttle opening, 'throttle' in 'columns', or no 'full-throttle'",
      at: { file },
    });
  }
  const kept = all.filter((row) => (throttle[row] as number) >= least);
  if (kept.length > 0) return kept;
  const most = throttle.reduce((a, b) => Math.max(a, b), 0);
  throw new BellmouthError({
    code: "E_TOO_LITTLE_DATA",
    message: "no row of this log is at full throttle",
    found: `at most ${Math.round(100 * most)} %`,
    accepted: `rows at ${Math.round(100 * least)} % or more, or a lower 'full-throttle'`,
    at: { file },
  });
}

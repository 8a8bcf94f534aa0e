import type { FileLayout as LogLayout } from "../../columns/index.js";
import { BellmouthError } from "../../fault/index.js";
import type { LoggedDrive } from "./channel.js";
import { countFindings } from "./count-findings.js";
import { removeImpossible } from "./impossible.js";
import { type LogMapping, type ResolvedMapping, resolveMapping } from "./mapping.js";
import { BLOCK_ROWS, openScanner, requireLayout } from "./open-scanner.js";
import { makeRecorder, type Recorder } from "./record.js";
import { blocksOf, type LogSource, type LogStream } from "./source.js";
import { makeTimeline, type Timeline } from "./timeline.js";

export interface ReadLogOptions {
  /** For messages and results: usually the file's name. */
  readonly name?: string;
  /** What to do with samples of a live channel that stands still while others move: missing (usual), or kept. */
  readonly stale?: "remove" | "keep";
}

interface LogReader {
  readonly push: (block: Uint8Array) => void;
  readonly end: () => void;
  readonly rowsSinceCut: () => number;
  /** What was read since the last cut: drives that ended, and the one that goes on. `last` ends it, too. */
  readonly cut: (last: boolean) => readonly LoggedDrive[];
}

/** One drive of a log: its own time and its own channels. */
interface Stretch {
  readonly label: string | undefined;
  readonly timeline: Timeline;
  readonly recorder: Recorder;
  cutRows: number;
}

/** Most drives in one file: a column that changes more often than this splits nothing. */
const MOST_DRIVES = 500;

function openReader(layout: LogLayout, mapping: LogMapping, options: ReadLogOptions): LogReader {
  requireLayout(layout);
  const resolved = resolveMapping(layout, mapping);
  const timed = !resolved.untimed;
  const what = (time: number): string => (timed ? `${Number(time.toFixed(2))} s` : `row ${time + 1}`);
  const names = resolved.wanted.map((column) => layout.columns[column]?.name ?? "");
  const begin = (label: string | undefined): Stretch => {
    const timeline = makeTimeline({
      clock: resolved.time?.clock ?? false,
      ...(resolved.rowPeriod === undefined ? {} : { period: resolved.rowPeriod }),
    });
    return {
      label,
      timeline,
      cutRows: 0,
      recorder: makeRecorder(
        resolved.channels.map(({ channel }) => channel),
        {
          removeStale: (options.stale ?? "remove") === "remove",
          everyRow: resolved.untimed,
          rowPeriod: timeline.rowPeriod,
        },
      ),
    };
  };
  let stretch: Stretch | undefined;
  let ended: LoggedDrive[] = [];
  let rowsAt = 0;
  const seen = new Map<string, number>();

  const cutOne = (one: Stretch, last: boolean): LoggedDrive => {
    const rows = one.recorder.rows() - one.cutRows;
    one.cutRows = one.recorder.rows();
    const channels = one.recorder.cut(last);
    const impossible = removeImpossible(channels, what);
    const name = [options.name, one.label].filter((part) => part !== undefined).join(", ");
    return {
      ...(name === "" ? {} : { name }),
      channels,
      rows,
      startStamp: one.timeline.startStamp(),
      rowPeriod: one.timeline.rowPeriod(),
      timed,
      findings: [
        ...countFindings(scanner.counts, names),
        ...one.timeline.findings(),
        ...one.recorder.findings(),
        ...impossible,
      ],
    };
  };

  const convert = makeConverter(resolved.channels);
  const stamps = new Float64Array(BLOCK_ROWS);
  const times = new Float64Array(BLOCK_ROWS);

  /** Feeds rows `[from, to)` of a block to a drive; returns how many at the end wait for what follows. */
  const feed = (
    into: Stretch,
    columns: readonly Float64Array[],
    from: number,
    to: number,
    last: boolean,
  ): number => {
    const part = from === 0 ? columns : columns.map((column) => column.subarray(from, to));
    const rows = to - from;
    if (resolved.time !== null) {
      const { slot, factor } = resolved.time;
      const raw = part[slot] as Float64Array;
      for (let i = 0; i < rows; i++) stamps[i] = (raw[i] as number) * factor;
    }
    const held = into.timeline.place(stamps, rows, times, last);
    into.recorder.feed(times, convert(part, rows - held), rows - held, into.timeline.gapBefore);
    return held;
  };

  const labelled = (split: NonNullable<ResolvedMapping["split"]>, number: number): string => {
    const text = [...split.labels.keys()][number] ?? "";
    const times = (seen.get(text) ?? 0) + 1;
    seen.set(text, times);
    if (seen.size > MOST_DRIVES || times > MOST_DRIVES) {
      throw new BellmouthError({
        code: "E_COLUMN",
        message: "the column that splits the log into drives changes too often for that",
        found: `more than ${MOST_DRIVES} drives`,
        accepted: "a column that changes when another drive begins",
        at: { path: "mapping.split" },
      });
    }
    return times === 1 ? text : `${text} (${times})`;
  };

  let present = Number.NaN;
  const onBlock = (rows: number, columns: readonly Float64Array[], last: boolean): number => {
    const { split } = resolved;
    stretch ??= begin(undefined);
    if (split === undefined) return feed(stretch, columns, 0, rows, last);
    const raw = columns[split.slot] as Float64Array;
    let from = 0;
    for (let i = 0; i < rows; i++) {
      const label = raw[i] as number;
      if (Number.isNaN(label) || label === present) continue;
      if (!Number.isNaN(present)) {
        feed(stretch, columns, from, i, true);
        ended.push(cutOne(stretch, true));
      }
      from = i;
      stretch = begin(labelled(split, label));
      present = label;
    }
    return feed(stretch, columns, from, rows, last);
  };

  const scanner = openScanner(layout, {
    wanted: resolved.wanted,
    kinds: resolved.kinds,
    onBlock,
    mendsCut: true,
  });
  return {
    push: scanner.push,
    end: scanner.end,
    rowsSinceCut: () => scanner.counts.rows - rowsAt,
    cut(last) {
      rowsAt = scanner.counts.rows;
      const drives = [...ended, cutOne(stretch ?? begin(undefined), last)];
      ended = [];
      return drives;
    },
  };
}

/** Turns the columns of a block into channels in SI, in arrays that are used again. */
function makeConverter(
  channels: ResolvedMapping["channels"],
): (columns: readonly Float64Array[], rows: number) => readonly Float64Array[] {
  const values = channels.map(() => new Float64Array(BLOCK_ROWS));
  return (columns, rows) => {
    channels.forEach(({ slots, scale: { factor, offset, reciprocal }, evaluate }, c) => {
      const target = values[c] as Float64Array;
      if (evaluate === undefined) {
        const raw = columns[slots[0] as number] as Float64Array;
        if (reciprocal !== true) {
          for (let i = 0; i < rows; i++) target[i] = (raw[i] as number) * factor + offset;
          return;
        }
        for (let i = 0; i < rows; i++) {
          const number = raw[i] as number;
          target[i] = number === 0 ? Number.NaN : factor / number + offset;
        }
        return;
      }
      const sources = slots.map((slot) => columns[slot] as Float64Array);
      const args = new Array<number>(slots.length).fill(Number.NaN);
      for (let i = 0; i < rows; i++) {
        for (let k = 0; k < args.length; k++) args[k] = (sources[k] as Float64Array)[i] as number;
        const value = evaluate(args);
        // A formula that divides by zero makes a missing sample, not an endless one.
        target[i] = Number.isFinite(value) ? value * factor + offset : Number.NaN;
      }
    });
    return values;
  };
}

/** The one drive of a log whose mapping names no column that splits it. */
function single(drives: readonly LoggedDrive[]): LoggedDrive {
  const [drive, other] = drives;
  if (drive !== undefined && other === undefined) return drive;
  throw new BellmouthError({
    code: "E_COLUMN",
    message: "this log holds several drives",
    found: `${drives.length} drives`,
    accepted: "readDrives, or a mapping without `split`",
    at: { path: "mapping.split" },
  });
}

/**
 * Reads a log into channels, each with its own times. It does what the layout and the mapping say and guesses
 * nothing; `inferLogLayout` proposes both. Memory: 8 bytes per sample of the mapped channels.
 *
 * Times of a result are [s] since the log's start, values in SI (see `LogChannel`).
 *
 * @throws E_SYNTAX for a layout that contradicts itself, or a log without its header
 * @throws E_COLUMN for columns that are missing, repeated or not those of the file
 * @throws E_UNIT for a unit that is missing or does not fit
 * @throws E_ENCODING for bytes that are not text
 * @throws E_TOO_LARGE for a line that does not end
 * @example
 * const layout = inferLogLayout("time [s],MAF [g/s]\n0,4.1\n0.1,4.3\n0.2,4.2\n").layout;
 * const mapping: LogMapping = { time: { column: "time", unit: "s" }, channels: [{ channel: "airflow", column: "MAF", unit: "g/s" }] };
 * const drive = readLog("time [s],MAF [g/s]\n0,4.1\n0.1,4.3\n0.2,4.2\n", layout, mapping);
 * drive.rows // ≈ 3
 */
export function readLog(
  source: LogSource,
  layout: LogLayout,
  mapping: LogMapping,
  options: ReadLogOptions = {},
): LoggedDrive {
  const reader = openReader(layout, mapping, options);
  for (const block of blocksOf(source)) reader.push(block);
  reader.end();
  return single(reader.cut(true));
}

/** The drives of a log, one after another where `mapping.split` names a column that parts them; else one. Same errors. */
export function readDrives(
  source: LogSource,
  layout: LogLayout,
  mapping: LogMapping,
  options: ReadLogOptions = {},
): readonly LoggedDrive[] {
  const reader = openReader(layout, mapping, options);
  for (const block of blocksOf(source)) reader.push(block);
  reader.end();
  return reader.cut(true);
}

/** {@link readLog} from bytes that arrive, such as a file's read stream. Same results and errors. */
export async function readLogStream(
  stream: LogStream,
  layout: LogLayout,
  mapping: LogMapping,
  options: ReadLogOptions = {},
): Promise<LoggedDrive> {
  const reader = openReader(layout, mapping, options);
  for await (const block of stream) reader.push(block);
  reader.end();
  return single(reader.cut(true));
}

/**
 * Reads a long log in pieces of about `rows` rows, so that memory does not grow with the log: times run on from piece
 * to piece, and the findings of each are those of the drive so far (the last piece has them all). With `mapping.split`, the pieces of a
 * drive carry its name, and come one drive after another.
 *
 * @param rows rows per piece [1], at least 1
 * @throws `E_DOMAIN` when `rows` is no whole number from 1; else as {@link readLog}
 */
export function* readLogPieces(
  source: LogSource,
  layout: LogLayout,
  mapping: LogMapping,
  rows: number,
  options: ReadLogOptions = {},
): Generator<LoggedDrive> {
  if (!(Number.isInteger(rows) && rows >= 1)) {
    throw new BellmouthError({
      code: "E_DOMAIN",
      message: "a piece needs at least one row",
      found: String(rows),
      accepted: "a whole number from 1",
      at: { path: "rows" },
    });
  }
  const reader = openReader(layout, mapping, options);
  for (const block of blocksOf(source)) {
    reader.push(block);
    if (reader.rowsSinceCut() >= rows) yield* reader.cut(false);
  }
  reader.end();
  yield* reader.cut(true);
}

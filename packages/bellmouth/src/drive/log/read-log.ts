import { BellmouthError } from "../../fault/index.js";
import type { LoggedDrive } from "./channel.js";
import { countFindings } from "./count-findings.js";
import type { LogLayout } from "./layout.js";
import { type LogMapping, resolveMapping } from "./mapping.js";
import { BLOCK_ROWS, openScanner, requireLayout } from "./open-scanner.js";
import { makeRecorder } from "./record.js";
import { blocksOf, type LogSource, type LogStream } from "./source.js";
import { makeTimeline } from "./timeline.js";

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
  readonly cut: (last: boolean) => LoggedDrive;
}

function openReader(layout: LogLayout, mapping: LogMapping, options: ReadLogOptions): LogReader {
  requireLayout(layout);
  const resolved = resolveMapping(layout, mapping);
  const timeline = makeTimeline({
    clock: resolved.time?.clock ?? false,
    ...(resolved.rowPeriod === undefined ? {} : { period: resolved.rowPeriod }),
  });
  const recorder = makeRecorder(
    resolved.channels.map(({ channel }) => channel),
    {
      removeStale: (options.stale ?? "remove") === "remove",
      everyRow: resolved.untimed,
      rowPeriod: timeline.rowPeriod,
    },
  );
  const stamps = new Float64Array(BLOCK_ROWS);
  const times = new Float64Array(BLOCK_ROWS);
  const values = resolved.channels.map(() => new Float64Array(BLOCK_ROWS));
  const scanner = openScanner(layout, {
    wanted: resolved.wanted,
    kinds: resolved.kinds,
    onBlock(rows, columns, last) {
      if (resolved.time !== null) {
        const { slot, factor } = resolved.time;
        const raw = columns[slot] as Float64Array;
        for (let i = 0; i < rows; i++) stamps[i] = (raw[i] as number) * factor;
      }
      const held = timeline.place(stamps, rows, times, last);
      const ready = rows - held;
      resolved.channels.forEach(({ slots, scale: { factor, offset }, evaluate }, c) => {
        const target = values[c] as Float64Array;
        if (evaluate === undefined) {
          const raw = columns[slots[0] as number] as Float64Array;
          for (let i = 0; i < ready; i++) target[i] = (raw[i] as number) * factor + offset;
          return;
        }
        const sources = slots.map((slot) => columns[slot] as Float64Array);
        const args = new Array<number>(slots.length).fill(Number.NaN);
        for (let i = 0; i < ready; i++) {
          for (let k = 0; k < args.length; k++) args[k] = (sources[k] as Float64Array)[i] as number;
          const value = evaluate(args);
          // A formula that divides by zero makes a missing sample, not an endless one.
          target[i] = Number.isFinite(value) ? value * factor + offset : Number.NaN;
        }
      });
      recorder.feed(times, values, ready, timeline.gapBefore);
      return held;
    },
  });
  let cutAt = 0;
  const names = resolved.wanted.map((column) => layout.columns[column]?.name ?? "");
  return {
    push: scanner.push,
    end: scanner.end,
    rowsSinceCut: () => recorder.rows() - cutAt,
    cut(last) {
      const rows = recorder.rows() - cutAt;
      cutAt = recorder.rows();
      const channels = recorder.cut(last);
      return {
        ...(options.name === undefined ? {} : { name: options.name }),
        channels,
        rows,
        startStamp: timeline.startStamp(),
        rowPeriod: timeline.rowPeriod(),
        findings: [...countFindings(scanner.counts, names), ...timeline.findings(), ...recorder.findings()],
      };
    },
  };
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
  return reader.cut(true);
}

/**
 * Reads a long log in pieces of about `rows` rows, so that memory does not grow with the log: times run on from piece
 * to piece, and the findings of each are those of the log so far (the last piece has them all).
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
    if (reader.rowsSinceCut() >= rows) yield reader.cut(false);
  }
  reader.end();
  yield reader.cut(true);
}

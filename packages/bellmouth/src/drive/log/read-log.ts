import { BellmouthError } from "../../fault/index.js";
import type { LogFinding, LoggedDrive } from "./channel.js";
import { type ColumnRef, type LogLayout, splitHeader } from "./layout.js";
import { findColumn, type LogMapping, resolveMapping } from "./mapping.js";
import { splitRow } from "./quoted-row.js";
import { makeRecorder } from "./record.js";
import { makeScanner, type ScanCounts, type Scanner, type SlotKind } from "./scan.js";
import { blocksOf, type LogSource, type LogStream, makeTranscoder } from "./source.js";
import { makeTimeline } from "./timeline.js";

export interface ReadLogOptions {
  /** For messages and results: usually the file's name. */
  readonly name?: string;
  /** What to do with samples of a live channel that stands still while others move: missing (usual), or kept. */
  readonly stale?: "remove" | "keep";
}

/** Rows held in numbers at a time. */
const BLOCK_ROWS = 4096;

function requireLayout(layout: LogLayout): void {
  const refuse = (found: string, accepted: string, path: string): never => {
    throw new BellmouthError({
      code: "E_SYNTAX",
      message: "the layout contradicts itself",
      found,
      accepted,
      at: { path: `layout.${path}` },
    });
  };
  if (![",", ";", "\t", "|"].includes(layout.delimiter)) {
    refuse(JSON.stringify(layout.delimiter), "comma, semicolon, tab or bar", "delimiter");
  }
  if (layout.decimal !== "." && layout.decimal !== ",") {
    refuse(JSON.stringify(layout.decimal), "a point or a comma", "decimal");
  }
  if (layout.decimal === layout.delimiter) {
    refuse("a comma for both", "another delimiter or a decimal point", "decimal");
  }
  if (!(Number.isInteger(layout.firstDataLine) && layout.firstDataLine >= 1)) {
    refuse(String(layout.firstDataLine), "a line number from 1", "firstDataLine");
  }
  if (layout.headerLine !== null && !(layout.headerLine >= 1 && layout.headerLine < layout.firstDataLine)) {
    refuse(String(layout.headerLine), "a line before the first row of values", "headerLine");
  }
  if (layout.columns.length === 0) refuse("no columns", "at least one", "columns");
}

/** Letters and digits that no encoding mangles. */
const ascii = (text: string): string => text.replace(/[^\x21-\x7e]/g, "");

/** Compares the file's header with the layout's columns: a log of another logger must not be read by place. */
function checkHeader(layout: LogLayout, text: string, line: number): void {
  const { fields } = splitRow(text, layout.delimiter);
  const cells =
    fields.length === layout.columns.length + 1 && fields.at(-1)?.trim() === ""
      ? fields.slice(0, -1)
      : fields;
  const wrong = layout.columns.findIndex(({ name, unit }, i) => {
    const cell = cells[i] ?? "";
    const { name: short, bracket } = splitHeader(cell);
    if (ascii(name) === ascii(cell)) return false;
    return !(
      ascii(name) === ascii(short) &&
      (bracket === null || unit === null || ascii(bracket) === ascii(unit))
    );
  });
  if (wrong < 0 && cells.length === layout.columns.length) return;
  throw new BellmouthError({
    code: "E_COLUMN",
    message: "the file's header is not the one the layout describes",
    found:
      wrong < 0
        ? `${cells.length} columns`
        : `"${(cells[wrong] ?? "").trim().slice(0, 80)}" as column ${wrong + 1}`,
    accepted:
      wrong < 0 ? `${layout.columns.length} columns` : `"${layout.columns[wrong]?.name.slice(0, 80)}"`,
    at: { line },
  });
}

interface Parts {
  readonly wanted: readonly number[];
  readonly kinds: readonly SlotKind[];
  readonly onBlock: (rows: number, values: readonly Float64Array[], last: boolean) => number;
}

/** Scanner behind its decoding and its check of the header. */
function openScanner(layout: LogLayout, parts: Parts): Scanner {
  requireLayout(layout);
  const transcode = makeTranscoder(layout.encoding);
  const bytesAre = layout.encoding === "windows-1252" ? "windows-1252" : "utf-8";
  const decoder = new TextDecoder(bytesAre);
  let seen = layout.headerLine === null;
  const scanner = makeScanner({
    delimiter: layout.delimiter,
    decimal: layout.decimal,
    width: layout.columns.length,
    skip: layout.firstDataLine - 1,
    blockRows: BLOCK_ROWS,
    encoding: bytesAre,
    ...parts,
    onSkipped(line, bytes) {
      if (line !== layout.headerLine) return;
      seen = true;
      checkHeader(layout, decoder.decode(bytes), line);
    },
  });
  return {
    counts: scanner.counts,
    push: (block) => scanner.push(transcode(block)),
    end() {
      scanner.end();
      if (seen) return;
      throw new BellmouthError({
        code: "E_SYNTAX",
        message: "the log ends before its header",
        accepted: `column names on line ${layout.headerLine}`,
      });
    },
  };
}

function countFindings(counts: ScanCounts, names: readonly string[]): readonly LogFinding[] {
  const found: LogFinding[] = [];
  if (counts.rows === 0) {
    found.push({ kind: "noRows", count: 0, message: "the log has no rows of values" });
  }
  if (counts.short > 0) {
    found.push({
      kind: "shortRows",
      count: counts.short,
      line: counts.shortLine,
      message: `${counts.short} rows have fewer cells than the header (first: line ${counts.shortLine})`,
    });
  }
  if (counts.long > 0) {
    found.push({
      kind: "longRows",
      count: counts.long,
      line: counts.longLine,
      message: `${counts.long} rows have more cells than the header (first: line ${counts.longLine}); they are read by place, which is wrong if a cell holds the delimiter`,
    });
  }
  if (counts.quoted > 0) {
    found.push({
      kind: "quotedRows",
      count: counts.quoted,
      line: counts.quotedLine,
      message: `${counts.quoted} rows hold quotes and went through the general reader`,
    });
  }
  if (counts.broken > 0) {
    found.push({
      kind: "brokenQuotes",
      count: counts.broken,
      line: counts.brokenLine,
      message: `${counts.broken} rows have quotes that do not close (first: line ${counts.brokenLine})`,
    });
  }
  names.forEach((column, slot) => {
    const missing = counts.missing[slot] as number;
    const unreadable = counts.unreadable[slot] as number;
    const line = counts.unreadableLine[slot] as number;
    if (missing > 0) {
      found.push({
        kind: "missing",
        column,
        count: missing,
        message: `column "${column}" is empty in ${missing} of ${counts.rows} rows`,
      });
    }
    if (unreadable > 0) {
      found.push({
        kind: "unreadable",
        column,
        count: unreadable,
        line,
        message: `column "${column}" holds no number in ${unreadable} rows (first: line ${line}, "${counts.unreadableText[slot]}")`,
      });
    }
  });
  return found;
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
 * @param rows rows per piece, at least 1
 * @throws as {@link readLog}
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

/** Rows of chosen columns as numbers, as written in the file. The arrays are reused: copy what is to be kept. */
export interface LogBlock {
  /** Number of the first row, from 0. */
  readonly firstRow: number;
  readonly rows: number;
  /** By chosen column; only the first `rows` of each count. NaN where a cell holds no number. */
  readonly values: readonly Float64Array[];
}

/** What reading by blocks found. */
export interface LogTally {
  readonly rows: number;
  readonly findings: readonly LogFinding[];
}

/**
 * Streams chosen columns through a function, block by block, in constant memory. No times, no units, no repairs: the
 * numbers of the file, each the same as `Number()` of its text.
 *
 * @param columns by name or number; `{ clock: column }` reads times of day as seconds
 * @throws as {@link readLog}
 */
export function forEachBlock(
  source: LogSource,
  layout: LogLayout,
  columns: readonly (ColumnRef | { readonly clock: ColumnRef })[],
  visit: (block: LogBlock) => void,
): LogTally {
  const wanted = columns.map((column, i) =>
    findColumn(layout, typeof column === "object" ? column.clock : column, `columns[${i}]`),
  );
  if (new Set(wanted).size !== wanted.length) {
    throw new BellmouthError({
      code: "E_COLUMN",
      message: "a column is asked for twice",
      found: wanted.join(", "),
      accepted: "each column once",
      at: { path: "columns" },
    });
  }
  let firstRow = 0;
  const scanner = openScanner(layout, {
    wanted,
    kinds: columns.map((column) => ({ kind: typeof column === "object" ? "clock" : "number" })),
    onBlock(rows, values) {
      if (rows > 0) visit({ firstRow, rows, values });
      firstRow += rows;
      return 0;
    },
  });
  for (const block of blocksOf(source)) scanner.push(block);
  scanner.end();
  const names = wanted.map((column) => layout.columns[column]?.name ?? "");
  return { rows: scanner.counts.rows, findings: countFindings(scanner.counts, names) };
}

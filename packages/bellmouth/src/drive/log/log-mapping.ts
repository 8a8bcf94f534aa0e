import {
  type ColumnsRead,
  type GivenColumns,
  type PlacedChannel,
  type PlacedColumn,
  type ReadColumnsOptions,
  readColumns,
  scaled,
} from "../../columns/index.js";
import type { DerivedChannel, LogMapping, LogTime, MappedColumn } from "./mapping.js";

/** Makes a function of numbers from a formula's text and the names in it. */
export type CompileFormula = (
  text: string,
  names: readonly string[],
) => (values: readonly number[]) => number;

/** What a log's first lines say, with the mapping that reads it; null while its time is in doubt. */
export interface InferredLog extends ColumnsRead {
  readonly mapping: LogMapping | null;
}

/**
 * Looks at the first lines of a log and says how it is laid out and what each of its columns is. Nothing that leaves two readings goes into
 * `mapping`: that is asked in `questions`.
 *
 * @param sample first 100 or more lines of the file, as text or bytes
 * @param given  what the file does not say
 * @throws as `readColumns`
 * @example
 * const log = inferLogLayout("time [s];MAF [g/s];IAT\n0,0;4,1;20\n0,1;4,3;21\n0,2;4,2;21\n");
 * log.layout.decimal // => ","
 * log.channels.length // ≈ 1
 * log.questions[0].about // => "intakeAir"
 */
export function inferLogLayout(
  sample: string | Uint8Array,
  given?: GivenColumns,
  options?: ReadColumnsOptions,
): InferredLog {
  const read = readColumns(sample, given, options);
  return { ...read, mapping: logMapping(read) };
}

/** The mapping that reads what `readColumns` found; null while the time is in doubt. */
export function logMapping(read: ColumnsRead, compile?: CompileFormula): LogMapping | null {
  const { time, split } = read;
  if (time === null) return null;
  return {
    time: timeOf(time),
    channels: read.channels.map((channel) => entryOf(channel, compile)),
    ...(split === null ? {} : { split }),
  };
}

function timeOf(time: NonNullable<ColumnsRead["time"]>): LogTime {
  if (time.kind === "column")
    return {
      column: time.column,
      unit: time.unit,
      ...(time.cells === undefined ? {} : { cells: time.cells }),
    };
  if (time.kind === "clock") return { column: time.column, format: "clock" };
  return time.kind === "pace" ? { rowPeriod: time.every } : { untimed: true };
}

function entryOf(placed: PlacedChannel, compile: CompileFormula | undefined): MappedColumn | DerivedChannel {
  const { channel, columns, formula } = placed;
  const from = columns.map(({ column }) => column);
  const cells = columns.map((one) => one.cells);
  if (formula !== undefined) {
    if (compile === undefined) throw new Error("a formula needs its compiler");
    return { channel, from, cells, evaluate: compile(formula.text, formula.names) };
  }
  const [first] = columns as readonly [PlacedColumn];
  const relative = placed.reference === "gauge" || placed.reference === "below-outside";
  if (columns.length === 1 && !relative) {
    return {
      channel,
      column: first.column,
      scale: first.scale,
      ...(first.cells === undefined ? {} : { cells: first.cells }),
    };
  }
  if (!relative) return { channel, from, cells, evaluate: ofBanks(placed) };
  const sign = placed.reference === "gauge" ? 1 : -1;
  const { barometer } = placed;
  if (barometer !== undefined && "pascals" in barometer) {
    return {
      channel,
      from: [first.column],
      cells: [first.cells],
      evaluate: ([value]) => barometer.pascals + sign * scaled(value as number, first.scale),
    };
  }
  const outside = barometer as PlacedColumn;
  let last = Number.NaN;
  return {
    channel,
    from: [first.column, outside.column],
    cells: [first.cells, outside.cells],
    evaluate: ([value, air]) => {
      // A barometer is polled seldom: its last reading holds.
      if (!Number.isNaN(air as number)) last = scaled(air as number, outside.scale);
      return last + sign * scaled(value as number, first.scale);
    },
  };
}

/** Columns of two banks as one: where only one of them is new in a row, the other's last reading holds. */
function ofBanks({ columns, combine }: PlacedChannel): (values: readonly number[]) => number {
  const last = columns.map(() => Number.NaN);
  return (values) => {
    let total = 0;
    let fresh = false;
    for (let i = 0; i < last.length; i++) {
      const value = values[i] as number;
      if (!Number.isNaN(value)) {
        last[i] = scaled(value, (columns[i] as PlacedColumn).scale);
        fresh = true;
      }
      total += last[i] as number;
    }
    if (!fresh) return Number.NaN;
    return combine === "sum" ? total : total / last.length;
  };
}

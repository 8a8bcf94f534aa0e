import type { ChannelName } from "./channels.js";
import type { Dialect } from "./dialect.js";
import type { DriveValues } from "./drive.js";
import { encode } from "./encode.js";
import { type Cells, columnsOf, layOut, readCells, writeCells } from "./print.js";

/** One column of a file as the dialect that printed it reads it back. */
export interface TruthColumn {
  readonly channel: ChannelName;
  /** SI; NaN where the file has no value, an impossible one or a number cut off. */
  readonly values: Float64Array;
}

export interface CorpusFile {
  readonly name: string;
  readonly bytes: Uint8Array;
  readonly dialect: Dialect;
  readonly cells: Cells;
  readonly truth: readonly TruthColumn[];
  readonly rows: number;
  /** Several drives stand in one file, told apart by a column. */
  readonly drives: number;
}

/** Channels polled in turn: a value is fresh in one row of `turn`, blank or held in the others. */
function poll(values: Float64Array, offset: number, turn: number, held: boolean): Float64Array {
  const out = new Float64Array(values.length).fill(Number.NaN);
  let last = Number.NaN;
  for (let i = 0; i < values.length; i++) {
    if (i % turn === offset % turn) last = values[i]!;
    out[i] = i % turn === offset % turn || held ? last : Number.NaN;
  }
  return out;
}

function twice(values: Float64Array): Float64Array {
  return Float64Array.from({ length: values.length * 2 }, (_, i) => values[i >> 1]!);
}

/** Times counted from the first row of each group. */
export function sinceGroupStart(times: Float64Array, groups: readonly string[]): Float64Array {
  const start = new Map<string, number>();
  return times.map((t, i) => {
    const group = groups[i]!;
    if (!start.has(group)) start.set(group, t);
    return t - start.get(group)!;
  });
}

/** Prints a drive and reads every printed value back: what stands in the file to its last digit is the truth. */
export function makeFile(dialect: Dialect, drive: DriveValues): CorpusFile {
  const turn = 4;
  const groups = dialect.columns.find((c) => c.role === "split")?.texts;
  const values = columnsOf(drive, dialect).map((given, j) => {
    const isTime = dialect.columns[j]!.channel === "time";
    const column =
      isTime && dialect.restarts && groups !== undefined ? sinceGroupStart(given, groups) : given;
    const polled =
      dialect.polling === "all" || isTime ? column : poll(column, j, turn, dialect.polling === "held");
    return dialect.pairs ? twice(polled) : polled;
  });
  const printed = dialect.columns.map((column, j) => [...writeCells(values[j]!, column, dialect)]);
  const truth = dialect.columns.map((column, j): TruthColumn => {
    if (column.texts !== undefined) return { channel: "extra", values: new Float64Array(printed[j]!.length) };
    const read = readCells(printed[j]!, column, dialect);
    if (read === undefined) throw new Error(`${dialect.name}: ${column.name} does not read back`);
    return { channel: column.channel, values: read };
  });
  for (const { row, column, written } of dialect.impossible) {
    printed[column]![row] = written;
    truth[column]!.values[row] = Number.NaN;
  }
  const rows = printed[0]!.length;
  if (dialect.cut) truth.at(-1)!.values[rows - 1] = Number.NaN;
  return {
    name: dialect.name,
    bytes: encode(layOut(printed, dialect), dialect.encoding),
    dialect,
    cells: printed,
    truth,
    rows,
    drives: new Set(groups ?? [""]).size,
  };
}

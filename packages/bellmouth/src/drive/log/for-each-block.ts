import type { FileLayout as LogLayout } from "../../columns/index.js";
import { BellmouthError } from "../../fault/index.js";
import type { LogFinding } from "./channel.js";
import { countFindings } from "./count-findings.js";
import { type ColumnRef, findColumn } from "./mapping.js";
import { openScanner } from "./open-scanner.js";
import { blocksOf, type LogSource } from "./source.js";

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
 * @throws `E_COLUMN` when a column is missing or asked for twice; else as {@link readLog}
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

import {
  type CellForm,
  type ColumnScale,
  type DecimalMark,
  fieldValue,
  formedValue,
  type GroupMark,
  isNothing,
  numberAndRest,
  scaled,
  ungrouped,
} from "./cell.js";
import { bankOf, type Concept, conceptsOf } from "./concept-words.js";
import type { FileColumn, FileLayout } from "./layout.js";
import { type ColumnDimension, columnUnit, looksLikeUnit } from "./unit-words.js";

/** A column with what its cells in a sample hold. */
export interface SampledColumn extends Omit<FileColumn, "cells"> {
  /** From 0. */
  readonly index: number;
  readonly concepts: ReadonlySet<Concept>;
  readonly bank: 1 | 2 | null;
  readonly sensor: number | null;
  /** Cells that hold something. */
  readonly cells: readonly string[];
  /** Their numbers, in the order of the rows; of cells with units, the numbers alone. */
  readonly numbers: readonly number[];
  /** Units that stand in its cells. */
  readonly cellUnits: readonly string[];
  /** Marks of thousands that its cells may hold, where they can also be read without. */
  readonly maybeGroup: GroupMark | null;
  readonly group1: GroupMark | undefined;
  /** Its numbers have the other decimal mark than the file's. */
  readonly ownDecimal: boolean;
}

const MARKS: readonly GroupMark[] = [",", ".", " ", "'"];

const share = (cells: readonly string[], test: (cell: string) => boolean): boolean =>
  cells.filter(test).length >= 0.8 * cells.length;

/** The mark of thousands that cells which are no plain numbers carry, if all of them do. */
function groupOf(odd: readonly string[], decimal: DecimalMark): GroupMark | undefined {
  return MARKS.find(
    (mark) =>
      mark !== decimal &&
      odd.length > 0 &&
      share(odd, (cell) => {
        const text = cell.replace(/[\u00a0\u2007\u2009\u202f]/gu, " ").trim();
        return (
          ungrouped(text, mark) !== text && fieldValue(ungrouped(text, mark), decimal).state === "number"
        );
      }),
  );
}

/** The mark of thousands that cells with units show; the usual one where they show none. */
function gluedGroup(cells: readonly string[], decimal: DecimalMark): GroupMark {
  const marked = (mark: GroupMark): boolean =>
    cells.some((cell) => {
      const text = cell.replace(/[\u00a0\u2007\u2009\u202f]/gu, " ").trim();
      return ungrouped(text, mark) !== text;
    });
  return MARKS.find((mark) => mark !== decimal && marked(mark)) ?? (decimal === "." ? "," : ".");
}

const other = (decimal: DecimalMark): DecimalMark => (decimal === "." ? "," : ".");
/** A number with the other decimal mark, which cannot stand between thousands: a Unix time in a file with decimal commas. */
const ownDecimal = (cell: string, decimal: DecimalMark): boolean =>
  fieldValue(cell, other(decimal)).state === "number" && !/^\s*[+-]?\d{1,3}[.,]\d{3}\s*$/u.test(cell);

/** True where the mark that is read as decimal can as well stand between thousands: three digits after it, in every cell that has it. */
function maybeThousands(cells: readonly string[], decimal: DecimalMark): boolean {
  const marked = cells.filter((cell) => cell.includes(decimal));
  return (
    marked.length > 0 &&
    marked.every((cell) => new RegExp(`^\\s*[+-]?[1-9]\\d{0,2}(?:[${decimal}]\\d{3})+\\s*$`, "u").test(cell))
  );
}

/** Looks at the cells of every column. */
export function sampleColumns(
  layout: FileLayout,
  rows: readonly (readonly string[])[],
): readonly SampledColumn[] {
  return layout.columns.map((column, index) => {
    const cells = rows.map((row) => row[index] ?? "").filter((cell) => !isNothing(cell));
    const { decimal } = layout;
    const odd = cells.filter((cell) => fieldValue(cell, decimal).state === "unreadable");
    const group1 = odd.length === 0 ? undefined : groupOf(odd, decimal);
    const glue = odd.length === 0 ? undefined : gluedGroup(odd, decimal);
    const rests =
      group1 !== undefined || odd.length < 0.5 * cells.length
        ? []
        : odd.map((cell) => numberAndRest(cell, { decimal, group: glue }));
    const cellUnits = [
      ...new Set(rests.flatMap((one) => (one === null || one.rest === "" ? [] : [one.rest]))),
    ];
    const glued = cellUnits.length > 0 && cellUnits.length <= 6 && cellUnits.every(looksLikeUnit);
    const own = group1 === undefined && odd.length > 0 && share(odd, (cell) => ownDecimal(cell, decimal));
    const form: CellForm = own
      ? { decimal: other(decimal) }
      : { decimal, ...(group1 === undefined ? {} : { group: group1 }) };
    const numbers = cells
      .map((cell) =>
        glued
          ? (numberAndRest(cell, { decimal, group: glue })?.value ?? Number.NaN)
          : formedValue(cell, form).value,
      )
      .filter((value) => !Number.isNaN(value));
    const full = column.group === undefined ? column.name : `${column.group} ${column.name}`;
    const alone = conceptsOf(column.name);
    const bank = bankOf(full);
    return {
      ...column,
      index,
      // A group's label helps where the name alone says too little: "Bank 1 | Short", "Engine | Speed".
      concepts: column.group === undefined || alone.size > 2 ? alone : conceptsOf(full),
      ...bank,
      cells,
      numbers,
      cellUnits: glued ? cellUnits : [],
      maybeGroup: group1 === undefined && !glued && maybeThousands(cells, decimal) ? decimal : null,
      group1,
      ownDecimal: own,
    };
  });
}

/** How the cells of a column are written, once its unit and scale are known; undefined for plain numbers. */
export function cellFormOf(
  column: SampledColumn,
  dimension: ColumnDimension,
  decimal: DecimalMark,
  group: GroupMark | undefined,
  judged?: ColumnScale,
): CellForm | undefined {
  if (column.cellUnits.length > 0) {
    const units = new Map<string, ColumnScale>();
    for (const spelling of column.cellUnits) {
      const unit = columnUnit(dimension, spelling);
      // One unit throughout, an air-fuel ratio, counts: the scale that was judged or answered for the column.
      const only = column.cellUnits.length === 1 && unit !== undefined;
      const scale = unit?.scale === null || only ? (judged ?? unit?.scale) : unit?.scale;
      if (scale !== null && scale !== undefined) units.set(spelling, scale);
    }
    // A cell without a unit has the header's.
    if (column.unit !== null && judged !== undefined) units.set("", judged);
    return { decimal, group: gluedGroup(column.cells, decimal), units };
  }
  if (column.ownDecimal) return { decimal: other(decimal) };
  if (group === undefined) return undefined;
  return { decimal: group === decimal ? (decimal === "." ? "," : ".") : decimal, group };
}

/** Value at a share of the ordered list; NaN of none. */
export function quantile(values: readonly number[], share: number): number {
  const sorted = Float64Array.from(values).sort();
  return sorted[Math.min(sorted.length - 1, Math.floor(share * sorted.length))] ?? Number.NaN;
}

/** The column's numbers in SI. */
export const inSi = (column: SampledColumn, scale: ColumnScale): readonly number[] =>
  column.numbers.map((value) => scaled(value, scale));

import { BellmouthError, type FaultDetails, type NumberRange } from "../fault/index.js";
import { gathered } from "./gathered.js";
import { columnOf } from "./table.js";
import type { Table, TableColumn } from "./table-shape.js";
import { unitScale } from "./unit-scale.js";

/** Most mistakes reported by one check: an unsorted column would fill the screen. */
const MOST = 5;

/** An SI value of a column in the unit of its header, to ten digits. */
const inUnit = (column: TableColumn, value: number): string => {
  const { factor, offset, unit } = unitScale(column.unit, column.dimension);
  return `${Number(((value - offset) / factor).toPrecision(10))}${unit === "" ? "" : ` ${unit}`}`;
};

function throwAll(faults: readonly FaultDetails[]): void {
  if (faults.length > 0) throw gathered(faults.map((details) => new BellmouthError(details)));
}

/**
 * Refuses a table with fewer rows than `least` [1].
 *
 * @throws `E_SHAPE`
 */
export function requireRows(table: Table, least: number): void {
  if (table.rows >= least) return;
  const [first = ""] = Object.keys(table.columns);
  throw new BellmouthError({
    code: "E_SHAPE",
    message: "too few rows",
    found: `${table.rows}`,
    accepted: `at least ${least} rows below the header`,
    at: table.placeOf(0, first),
  });
}

/**
 * Refuses cells that do not lie strictly above the cell before, telling repeated from unsorted ones.
 *
 * @throws `E_ORDER`, with the place of each of the first five
 */
export function requireRising(table: Table, name: string): void {
  const column = columnOf(table, name);
  const faults: FaultDetails[] = [];
  let before = Number.NEGATIVE_INFINITY;
  for (let row = 0; row < column.values.length && faults.length < MOST; row++) {
    const value = column.values[row] ?? Number.NaN;
    if (!(value > before)) {
      const previous = inUnit(column, before);
      faults.push({
        code: "E_ORDER",
        message:
          value === before
            ? `the ${name} is the same as in the row before`
            : `the ${name} is not above the row before`,
        found: `${inUnit(column, value)} after ${previous}`,
        accepted: `more than ${previous}`,
        at: table.placeOf(row, name),
      });
    } else before = value;
  }
  throwAll(faults);
}

/**
 * Refuses cells outside a range.
 *
 * @param range in SI
 * @throws `E_DOMAIN`, with the place of each of the first five
 */
export function requireRange(table: Table, name: string, range: NumberRange): void {
  const column = columnOf(table, name);
  const low = range.over ?? range.from;
  const high = range.under ?? range.to;
  const accepted = [
    low === undefined ? undefined : `${range.over === undefined ? ">=" : ">"} ${inUnit(column, low)}`,
    high === undefined ? undefined : `${range.under === undefined ? "<=" : "<"} ${inUnit(column, high)}`,
  ]
    .filter((bound) => bound !== undefined)
    .join(" and ");
  const faults: FaultDetails[] = [];
  for (let row = 0; row < column.values.length && faults.length < MOST; row++) {
    const value = column.values[row] ?? Number.NaN;
    const fits =
      (range.over === undefined || value > range.over) &&
      (range.from === undefined || value >= range.from) &&
      (range.under === undefined || value < range.under) &&
      (range.to === undefined || value <= range.to);
    if (fits) continue;
    faults.push({
      code: "E_DOMAIN",
      message: `a ${name} outside the accepted range`,
      found: inUnit(column, value),
      accepted,
      at: table.placeOf(row, name),
    });
  }
  throwAll(faults);
}

/** The table with its rows the other way round where the column falls from the first row to the last: a table over periods, or one from the top. */
export function risingBy(table: Table, name: string): Table {
  const { values } = columnOf(table, name);
  if (!((values.at(-1) ?? 0) < (values[0] ?? 0))) return table;
  return {
    ...table,
    columns: Object.fromEntries(
      Object.entries(table.columns).map(([key, column]) => [
        key,
        { ...column, values: column.values.toReversed() },
      ]),
    ),
    placeOf: (row, column) => table.placeOf(table.rows - 1 - row, column),
  };
}

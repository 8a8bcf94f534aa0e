import {
  type ColumnDimension,
  fieldValue,
  formedValue,
  isNothing,
  type PlacedTableColumn,
  readTableColumns,
  scaled,
  TABLE_QUANTITIES,
  type TableColumnsRead,
  type WantedColumn,
} from "../columns/index.js";
import { BellmouthError, type FaultPlace, faultDetails, isFault } from "../fault/index.js";
import { gathered } from "./gathered.js";
import { nearest, shown } from "./nearest.js";
import { numberHint } from "./number-text.js";
import { questionText } from "./question-text.js";
import {
  type ColumnSpec,
  MOST_FAULTS,
  MOST_ROWS,
  type Table,
  type TableColumn,
  type TableOptions,
} from "./table-shape.js";
import { type Dimension, SI_UNITS } from "./unit-list.js";
import { unitScale } from "./unit-scale.js";

const COLUMN_DIMENSIONS: { readonly [dimension in Dimension]?: readonly ColumnDimension[] } = {
  frequency: ["frequency", "counts"],
  voltage: ["voltage", "counts"],
  count: ["counts"],
  "mass flow": ["mass flow"],
  "rotational speed": ["rotational speed"],
  ratio: ["ratio"],
  temperature: ["temperature"],
  pressure: ["pressure"],
  "pressure difference": ["pressure difference"],
  resistance: ["resistance"],
};

/** Breakpoints lie where the quantity does that they are of. */
const rangeOf = (able: readonly ColumnDimension[]) =>
  able.includes("temperature")
    ? "temperature"
    : able.includes("resistance")
      ? "resistance"
      : able.includes("frequency") || able.includes("voltage")
        ? "signal"
        : "number";

/** What a specified column is to the reader of columns; undefined for quantities that only a header in this table's own words can have. */
function wantedOf({ name, aliases = [], dimensions, holds }: ColumnSpec): WantedColumn | undefined {
  const able = [...new Set(dimensions.flatMap((one) => COLUMN_DIMENSIONS[one] ?? []))];
  if (able.length === 0) return undefined;
  const generic = able.includes("pressure difference") ? "pressure drop" : "number";
  const rule = TABLE_QUANTITIES[holds ?? generic];
  const { within, reaches, possible } = holds === "breakpoint" ? TABLE_QUANTITIES[rangeOf(able)] : rule;
  return {
    name,
    names: [name, ...aliases],
    rule: { ...rule, channel: name, dimensions: able, within, reaches, possible },
  };
}

/**
 * Reads a table whose header is in its file's own words, as the columns of logs are read.
 *
 * @param plain what is wrong with the header in this table's words; thrown where the file says no more in its own
 * @throws as `readTable`
 */
export function freeTable(
  text: string,
  specs: readonly ColumnSpec[],
  options: TableOptions,
  plain?: BellmouthError,
): Table {
  const wanted = specs.flatMap((spec) => wantedOf(spec) ?? []);
  let read: TableColumnsRead;
  try {
    read = readTableColumns(text, wanted, options.given);
  } catch (error) {
    if (!isFault(error)) throw error;
    throw plain ?? new BellmouthError({ ...faultDetails(error), at: { ...named(options), ...error.at } });
  }
  const known = new Set([
    ...read.placed.map(({ name }) => name),
    ...read.questions.map(({ about }) => about),
  ]);
  const lacking = specs.filter(({ name, optional }) => optional !== true && !known.has(name));
  if (lacking.length > 0 || read.layout.headerLine === null)
    throw plain ?? lackingFault(lacking, read, options);
  // A header that two marks split is not put right by taking one of them.
  if (plain?.code === "E_SYNTAX" && read.layout.headerLine === 1) throw plain;
  // A misspelt column that need not be there must not pass for one that is not used.
  const missing = specs
    .filter(({ name, optional }) => optional === true && !known.has(name))
    .flatMap(({ name, aliases = [] }) => [name, ...aliases]);
  const misspelt = read.columns.some(
    ({ use, name }) => use === "ignored" && nearest(name, missing) !== undefined,
  );
  if (plain !== undefined && misspelt) throw plain;
  if (read.questions.length > 0) throw askedFault(read, options);
  const table = tableOf(read, specs, options);
  options.told?.(read.columns);
  return table;
}

const named = ({ file }: TableOptions): FaultPlace => (file === undefined ? {} : { file });

const lackingFault = (
  lacking: readonly ColumnSpec[],
  { columns }: TableColumnsRead,
  options: TableOptions,
): BellmouthError =>
  new BellmouthError({
    code: "E_COLUMN",
    message:
      lacking.length === 0
        ? "no line of this table names its columns"
        : `no column of this table is ${lacking.map(({ name }) => `'${name}'`).join(" or ")}`,
    found: columns
      .slice(0, 16)
      .map(({ name, reason, use }) => `"${shown(name, 40)}"${use === "ignored" ? ` (${reason})` : ""}`)
      .join(", "),
    accepted: "a block 'columns' beside the file that places them, as in 'airflow: Luftmasse [kg/h]'",
    at: named(options),
  });

function askedFault({ questions, layout, columns }: TableColumnsRead, options: TableOptions): BellmouthError {
  const one = questions.length === 1;
  return new BellmouthError({
    code: "E_COLUMN",
    message: `${one ? "one question" : `${questions.length} questions`} about the columns of this table; one line of each, below 'columns:' beside its 'file:', answers ${one ? "it" : "them"}:\n${questions.map(questionText).join("\n")}\n   `,
    found: columns
      .slice(0, 16)
      .map(({ name }) => `"${shown(name, 40)}"`)
      .join(", "),
    accepted: "a block with 'file' and 'columns' in the place of the file's name",
    at: { ...named(options), line: layout.headerLine ?? 1, column: 1 },
    questions,
  });
}

/** The unit to write with where texts know it, else the SI unit. */
function writtenUnit(unit: string, dimension: Dimension, reciprocal: boolean): string {
  if (!reciprocal && unit !== "counts")
    for (const spelling of dimension === "pressure" ? [`${unit} absolute`] : [unit])
      try {
        return unitScale(spelling === "1" ? "" : spelling, dimension).unit;
      } catch (error) {
        if (!isFault(error)) throw error;
      }
  return dimension === "count" ? "counts" : SI_UNITS[dimension].shown;
}

/** A column of counts without a scale is counts; with one it is what the scale makes of it. */
const dimensionOf = (placed: PlacedTableColumn): Dimension =>
  placed.dimension === "counts" ? "count" : (placed.dimension as Dimension);

function tableOf(read: TableColumnsRead, specs: readonly ColumnSpec[], options: TableOptions): Table {
  const { rows, placed, layout } = read;
  const faults: BellmouthError[] = [];
  const at = (row: number, index: number): FaultPlace => ({
    ...named(options),
    line: rows[row]?.line ?? layout.headerLine ?? 1,
    column: 1 + (rows[row]?.cells ?? []).slice(0, index).reduce((sum, cell) => sum + cell.length + 1, 0),
  });
  const fault = (details: ConstructorParameters<typeof BellmouthError>[0]): void => {
    if (faults.length < MOST_FAULTS) faults.push(new BellmouthError(details));
  };
  rows.forEach(({ cells }, row) => {
    if (cells.length === layout.columns.length) return;
    fault({
      code: "E_SYNTAX",
      message: `a row of ${cells.length} cells under a header of ${layout.columns.length}`,
      found: `'${shown(cells.join(layout.delimiter))}'`,
      accepted: `${layout.columns.length} cells`,
      at: at(row, 0),
    });
  });
  if (rows.length === 0)
    fault({
      code: "E_SHAPE",
      message: "the table has a header and no rows",
      accepted: "at least one row",
      at: at(-1, 0),
    });
  if (rows.length > MOST_ROWS)
    fault({
      code: "E_TOO_LARGE",
      message: "more rows than a table is read with; long recordings are read as drives",
      found: `${rows.length} rows`,
      accepted: `at most ${MOST_ROWS}`,
      at: at(-1, 0),
    });
  if (faults.length > 0) throw gathered(faults);
  const columns: Record<string, TableColumn> = {};
  for (const one of placed) {
    const spec = specs.find(({ name }) => name === one.name);
    const dimension = dimensionOf(one);
    if (one.unclear && options.decimal !== "comma")
      fault({
        code: "E_NUMBER",
        message: `unclear whether the mark is a decimal mark or groups thousands in column '${one.name}'`,
        found: `'${shown(rows[0]?.cells[one.column] ?? "")}'`,
        accepted: "decimal points, or at least one number that shows it (12,5)",
        at: at(0, one.column),
      });
    const values = rows.map(({ cells }, row): number => {
      const cell = cells[one.column] ?? "";
      const { value, state } =
        one.cells === null ? fieldValue(cell, layout.decimal) : formedValue(cell, one.cells);
      const si = scaled(value, one.scale);
      if (state === "missing" && spec?.blanks === "missing" && isNothing(cell)) return Number.NaN;
      if (state === "number" && Number.isFinite(si)) return si;
      fault({
        code: "E_NUMBER",
        message:
          state === "number"
            ? `no value of '${one.name}' (${cell.trim()} stands for nothing finite)`
            : `${numberHint(cell.trim())} in column '${one.name}'`,
        found: cell.trim() === "" ? "an empty cell" : `'${shown(cell)}'`,
        accepted: `a decimal number in ${one.unit}`,
        at: at(row, one.column),
      });
      return Number.NaN;
    });
    columns[one.name] = {
      name: one.name,
      dimension,
      unit: writtenUnit(one.unit, dimension, one.scale.reciprocal === true),
      values,
      at: { ...named(options), line: layout.headerLine ?? 1, column: 1 },
    };
  }
  if (faults.length > 0) throw gathered(faults);
  const indexOf = new Map(placed.map(({ name, column }) => [name, column]));
  return {
    file: options.file,
    rows: rows.length,
    columns,
    uses: read.columns,
    placeOf: (row, column) => at(row, indexOf.get(column) ?? 0),
  };
}

import Papa from "papaparse";
import { BellmouthError, type FaultDetails, type FaultPlace, faultDetails, isFault } from "../fault/index.js";
import { freeTable } from "./free-table.js";
import { gathered } from "./gathered.js";
import { didYouMean, nearest, shown } from "./nearest.js";
import { NUMBER_PATTERN, numberHint, plainText } from "./number-text.js";
import { type TableForm, tableForm } from "./table-form.js";
import {
  type ColumnSpec,
  MOST_FAULTS,
  MOST_ROWS,
  type Table,
  type TableColumn,
  type TableOptions,
} from "./table-shape.js";
import { type UnitScale, unitScale } from "./unit-scale.js";

/** Most columns of a table [1]; loggers write some hundred. */
const MOST_COLUMNS = 2_000;

/**
 * Reads a table with units in its header, `signal [Hz],airflow [g/s]`; comma, semicolon or tab between cells. A header in other words is
 * read as headers of logs are: names of the trade in several languages, units in brackets, in a row or in the cells, comment lines, blanks or
 * bars between cells; what that leaves open is asked.
 *
 * Decimal commas are taken only where commas do not separate cells and the numbers leave no doubt (`12,5` beside
 * `1,25`; every number with exactly three digits after its comma could be thousands and is refused) or when
 * `decimal: "comma"` says so.
 *
 * @param text table without byte order mark (see `decodeText`)
 * @throws `E_SYNTAX`, `E_COLUMN`, `E_UNIT`, `E_NUMBER`, `E_SHAPE` (no rows), `E_TOO_LARGE`; several mistakes as one fault
 *   whose `cause` lists them; `E_COLUMN` with `questions` where a column's meaning or unit is open
 */
export function readTable(text: string, columns: readonly ColumnSpec[], options: TableOptions = {}): Table {
  if (options.given !== undefined) return freeTable(text, columns, options);
  let plain: PlainHeader;
  try {
    plain = plainHeader(text, columns, options);
  } catch (error) {
    if (!isFault(error) || error.code === "E_TOO_LARGE") throw error;
    return freeTable(text, columns, options, error);
  }
  try {
    return plainTable(plain, options);
  } catch (error) {
    // One name over rows of two cells: decimal commas of a single column.
    if (!isFault(error) || plain.rows[0]?.length !== 1) throw error;
    return freeTable(text, columns, options, error);
  }
}

interface PlainHeader {
  readonly form: TableForm;
  readonly rows: readonly (readonly string[])[];
  readonly placed: readonly PlacedColumn[];
}

/** The header in the names of this table. */
function plainHeader(text: string, columns: readonly ColumnSpec[], options: TableOptions): PlainHeader {
  const form = tableForm(text, options.file);
  const parsed = Papa.parse<string[]>(text, { delimiter: form.delimiter, newline: form.newline });
  const rows = parsed.data;
  refuseBrokenQuotes(parsed.errors, rows, form);
  const { faults, fault } = collected();
  const header = rows[0] ?? [];
  if (header.length > MOST_COLUMNS) {
    throw new BellmouthError({
      code: "E_TOO_LARGE",
      message: "more columns than a table is read with",
      found: `${header.length} columns`,
      accepted: `at most ${MOST_COLUMNS}`,
      at: form.place(rows, 0, MOST_COLUMNS),
    });
  }
  const placed = placeColumns(header, columns, options, form, fault);
  if (faults.length > 0) throw gathered(faults);
  return { form, rows, placed };
}

function collected(): {
  readonly faults: BellmouthError[];
  readonly fault: (details: FaultDetails) => void;
} {
  const faults: BellmouthError[] = [];
  return {
    faults,
    fault: (details) => {
      if (faults.length < MOST_FAULTS) faults.push(new BellmouthError(details));
    },
  };
}

function plainTable({ form, rows, placed }: PlainHeader, options: TableOptions): Table {
  const { faults, fault } = collected();
  const header = rows[0] ?? [];

  // Row numbers of the text for each row of data: blank lines are passed over.
  const kept: number[] = [];
  for (let r = 1; r < rows.length; r++) {
    const cells = rows[r] ?? [];
    if (cells.length === 1 && (cells[0] ?? "").trim() === "") continue;
    if (cells.length !== header.length) {
      const comma = form.delimiter === "," && cells.length > header.length;
      fault({
        code: "E_SYNTAX",
        message: `a row of ${cells.length} cells under a header of ${header.length}${comma ? "; with decimal commas, separate the cells by semicolons" : ""}`,
        found: `'${shown(cells.join(form.delimiter))}'`,
        accepted: `${header.length} cells`,
        at: form.place(rows, r, 0),
      });
      continue;
    }
    kept.push(r);
  }
  if (kept.length > MOST_ROWS) {
    throw new BellmouthError({
      code: "E_TOO_LARGE",
      message: "more rows than a table is read with; long recordings are read as drives",
      found: `${kept.length} rows`,
      accepted: `at most ${MOST_ROWS}`,
      at: form.place(rows, 0, 0),
    });
  }
  if (kept.length === 0 && faults.length === 0) {
    throw new BellmouthError({
      code: "E_SHAPE",
      message: "the table has a header and no rows",
      accepted: "at least one row",
      at: form.place(rows, 0, 0),
    });
  }
  const decimalComma = decimalMark(rows, kept, placed, options, form, fault) === "comma";
  if (faults.length > 0) throw gathered(faults);
  const result: Record<string, TableColumn> = {};
  for (const { spec, index, scale } of placed) {
    const { factor, offset } = scale;
    const values = new Array<number>(kept.length);
    for (let i = 0; i < kept.length; i++) {
      const row = kept[i] as number;
      let cell = (rows[row] as string[])[index] ?? "";
      if (decimalComma) cell = cell.replace(",", ".");
      if (!NUMBER_PATTERN.test(cell)) {
        cell = plainText(cell);
        if (cell === "" && spec.blanks === "missing") {
          values[i] = Number.NaN;
          continue;
        }
        if (!NUMBER_PATTERN.test(cell)) {
          fault({
            code: "E_NUMBER",
            message: `${cellHint(cell)} in column '${spec.name}'`,
            found: cell === "" ? "an empty cell" : `'${shown((rows[row] as string[])[index] ?? "")}'`,
            accepted: `a decimal number${scale.unit === "" ? "" : ` in ${scale.unit}`}`,
            at: form.place(rows, row, index),
          });
          if (faults.length >= MOST_FAULTS) break;
          continue;
        }
      }
      const value = Number(cell) * factor + offset;
      if (!Number.isFinite(value)) {
        fault({
          code: "E_NUMBER",
          message: `a number too large in column '${spec.name}'`,
          found: `'${shown(cell)}'`,
          accepted: "a number that a double can hold",
          at: form.place(rows, row, index),
        });
      }
      values[i] = value;
    }
    result[spec.name] = {
      name: spec.name,
      dimension: scale.dimension,
      unit: scale.unit,
      values,
      at: form.place(rows, 0, index),
    };
  }
  if (faults.length > 0) throw gathered(faults);
  const indexOf = new Map(placed.map(({ spec, index }) => [spec.name, index]));
  return {
    file: options.file,
    rows: kept.length,
    columns: result,
    uses: [],
    placeOf: (row, column) => form.place(rows, kept[row] ?? 0, indexOf.get(column) ?? 0),
  };
}

/**
 * A column of a table that must be there (not `optional`).
 *
 * @throws `E_COLUMN` when it is not
 */
export function columnOf(table: Table, name: string): TableColumn {
  const column = table.columns[name];
  if (column !== undefined) return column;
  throw new BellmouthError({
    code: "E_COLUMN",
    message: `the column '${name}' is missing`,
    accepted: Object.keys(table.columns).join(", "),
    at: table.file === undefined ? {} : { file: table.file },
  });
}

interface PlacedColumn {
  readonly spec: ColumnSpec;
  readonly index: number;
  readonly scale: UnitScale;
}

function placeColumns(
  header: readonly string[],
  specs: readonly ColumnSpec[],
  options: TableOptions,
  form: TableForm,
  fault: (details: FaultDetails) => void,
): readonly PlacedColumn[] {
  const placed: PlacedColumn[] = [];
  const accepted = specs
    .map(({ name, dimensions }) => (dimensions.every((one) => one === "ratio") ? name : `${name} [unit]`))
    .join(", ");
  const names = specs.flatMap((spec) => [spec.name, ...(spec.aliases ?? [])]);
  header.forEach((cell, index) => {
    const at = form.place([header], 0, index);
    const { name, unit } = headerCell(cell);
    const spec = specs.find((one) =>
      [one.name, ...(one.aliases ?? [])].some((known) => known.toLowerCase() === name.toLowerCase()),
    );
    if (spec === undefined) {
      if (options.others === "ignore") return;
      fault({
        code: "E_COLUMN",
        message:
          name === ""
            ? "a column without a name"
            : `a column this table does not have${didYouMean(name, names)}`,
        found: `'${shown(cell)}'`,
        accepted,
        at,
      });
      return;
    }
    if (placed.some((other) => other.spec === spec)) {
      fault({
        code: "E_COLUMN",
        message: `the column '${spec.name}' stands twice`,
        found: `'${shown(cell)}'`,
        accepted: "each column once",
        at,
      });
      return;
    }
    try {
      placed.push({ spec, index, scale: scaleFor(unit, spec, at) });
    } catch (error) {
      if (!isFault(error)) throw error;
      fault({ ...faultDetails(error), message: `column '${spec.name}': ${error.sentence}`, at });
    }
  });
  for (const spec of specs) {
    // A column refused for its unit is not missing as well.
    // Nor is one that was misspelt: its own message leads to it.
    const own = [spec.name, ...(spec.aliases ?? [])].map((known) => known.toLowerCase());
    const present = header.some((cell) => {
      const { name } = headerCell(cell);
      const meant = options.others === "ignore" ? name : (nearest(name, names) ?? name);
      return own.includes(meant.toLowerCase());
    });
    if (spec.optional === true || present) continue;
    fault({
      code: "E_COLUMN",
      message: `the column '${spec.name}' is missing`,
      found: `'${shown(header.join(form.delimiter), 120)}'`,
      accepted,
      at: form.place([header], 0, 0),
    });
  }
  return placed;
}

/** `airflow [g/s]` as name and unit; no brackets means no unit. */
export function headerCell(cell: string): { readonly name: string; readonly unit: string } {
  const match = /^([^[\]]*?)\s*(?:\[([^[\]]*)\])?$/su.exec(plainText(cell));
  return match === null
    ? { name: plainText(cell), unit: "" }
    : { name: (match[1] ?? "").replace(/\s+/gu, " "), unit: (match[2] ?? "").trim() };
}

/** The scale of the first dimension that takes the unit; the first dimension's complaint when none does. */
function scaleFor(unit: string, spec: ColumnSpec, at: FaultPlace): UnitScale {
  if (spec.unit !== undefined && unit !== "") {
    const [dimension = "ratio"] = spec.dimensions;
    const said = unitScale(spec.unit, dimension, at);
    const written = unitScale(unit, dimension, at);
    if (said.factor !== written.factor || said.offset !== written.offset) {
      throw new BellmouthError({
        code: "E_UNIT",
        message: "the header names another unit than the document",
        found: `'${shown(unit)}' in the header, '${spec.unit}' in the document`,
        accepted: "the same unit, or none in the document",
        at,
      });
    }
  }
  let first: unknown;
  for (const dimension of spec.dimensions) {
    try {
      return unitScale(unit === "" ? (spec.unit ?? "") : unit, dimension, at);
    } catch (error) {
      first ??= error;
    }
  }
  throw first;
}

/** Decides the decimal mark for the whole file, or finds that it cannot. */
function decimalMark(
  rows: readonly (readonly string[])[],
  kept: readonly number[],
  placed: readonly PlacedColumn[],
  options: TableOptions,
  form: TableForm,
  fault: (details: FaultDetails) => void,
): "point" | "comma" {
  if (form.delimiter === ",") return "point";
  if (options.decimal !== undefined) return options.decimal;
  let comma: { row: number; index: number } | undefined;
  let point: { row: number; index: number } | undefined;
  let certain = false;
  for (const row of kept) {
    for (const { index } of placed) {
      const cell = rows[row]?.[index] ?? "";
      if (cell.includes(",")) {
        comma ??= { row, index };
        // Three digits after one comma may be thousands; any other number of digits may not.
        if (
          /^\s*[+-]?\d+,(?:\d{1,2}|\d{4,})(?:[eE][+-]?\d+)?\s*$/u.test(cell) ||
          /^\s*[+-]?0,\d+/u.test(cell)
        ) {
          certain = true;
        }
      }
      if (cell.includes(".")) point ??= { row, index };
    }
  }
  if (comma === undefined) return "point";
  const at = form.place(rows, comma.row, comma.index);
  const found = `'${shown(rows[comma.row]?.[comma.index] ?? "")}'`;
  if (point !== undefined) {
    fault({
      code: "E_NUMBER",
      message: "commas and points in the numbers of one table",
      found: `${found} and '${shown(rows[point.row]?.[point.index] ?? "")}'`,
      accepted: "one decimal mark throughout, and no grouping of digits",
      at,
    });
    return "point";
  }
  if (!certain) {
    fault({
      code: "E_NUMBER",
      message: "unclear whether the comma is a decimal mark or groups thousands",
      found,
      accepted: "decimal points, or at least one number that shows it (12,5)",
      at,
    });
    return "point";
  }
  return "comma";
}

function cellHint(cell: string): string {
  if (/^[+-]?[\d.]+\s*[^\d\s.,eE+-]/u.test(cell)) return "the unit belongs in the header, not in the cell,";
  return numberHint(cell);
}

function refuseBrokenQuotes(
  errors: readonly Papa.ParseError[],
  rows: readonly (readonly string[])[],
  form: TableForm,
): void {
  const broken = errors.find((error) => error.type === "Quotes");
  if (broken === undefined) return;
  throw new BellmouthError({
    code: "E_SYNTAX",
    message: "a quoted cell that does not end, or goes on after its end",
    accepted: "quotes around whole cells, doubled inside them",
    at: form.place(rows, Math.min(broken.row ?? 0, Math.max(0, rows.length - 1)), 0),
  });
}

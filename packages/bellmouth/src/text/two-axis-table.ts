import Papa from "papaparse";
import { BellmouthError } from "../fault/index.js";
import { gathered } from "./gathered.js";
import { shown } from "./nearest.js";
import { NUMBER_PATTERN, numberHint, plainText } from "./number-text.js";
import { headerCell } from "./table.js";
import { tableForm } from "./table-form.js";
import { numberCell, textCell } from "./table-write.js";
import type { Dimension } from "./unit-list.js";
import { type UnitScale, unitScale } from "./unit-scale.js";

export interface TableAxis {
  readonly name: string;
  readonly dimension: Dimension;
  readonly unit: string;
  /** SI, strictly increasing */
  readonly values: readonly number[];
}

/** A table over two axes, in SI. */
export interface TwoAxisTable {
  readonly name: string;
  readonly dimension: Dimension;
  readonly unit: string;
  /** breakpoints of the rows */
  readonly down: TableAxis;
  /** breakpoints of the columns */
  readonly across: TableAxis;
  /** row by row: `values[r][c]` belongs to `down.values[r]` and `across.values[c]` */
  readonly values: readonly (readonly number[])[];
}

export interface TwoAxisSpec {
  readonly value: Dimension;
  readonly down: Dimension;
  readonly across: Dimension;
}

/**
 * Reads a table over two axes. Its first cell says what is in it, `correction [%] by temperature [degC] and airflow [g/s]`:
 * the values, the breakpoints going down the first column, those going across the first row.
 *
 * @throws `E_COLUMN` when the first cell does not say what is in it; `E_SYNTAX`, `E_UNIT`, `E_NUMBER`, `E_SHAPE`,
 *   `E_ORDER`; all with file, line and column; several as one fault whose `cause` lists them
 */
export function readTwoAxisTable(
  text: string,
  spec: TwoAxisSpec,
  options: { readonly file?: string } = {},
): TwoAxisTable {
  const form = tableForm(text, options.file);
  const parsed = Papa.parse<string[]>(text, { delimiter: form.delimiter, newline: form.newline });
  const all = parsed.data;
  const rows = all.filter((cells) => !(cells.length === 1 && (cells[0] ?? "").trim() === ""));
  const lineOf = (row: number): number => all.indexOf(rows[row] ?? []);
  const at = (row: number, index: number) => form.place(all, Math.max(0, lineOf(row)), index);
  const corner = rows[0]?.[0] ?? "";
  const parts = /^(.+?\]?) by (.+?\]?) and (.+)$/su.exec(plainText(corner));
  if (parts === null) {
    throw new BellmouthError({
      code: "E_COLUMN",
      message: "the first cell of a table over two axes says what is in it",
      found: `'${shown(corner)}'`,
      accepted: "'correction [%] by temperature [degC] and airflow [g/s]': values, down, across",
      at: at(0, 0),
    });
  }
  const named = ([parts[1], parts[2], parts[3]] as const).map((part) => headerCell(part ?? ""));
  const scaleOf = (i: number, dimension: Dimension): UnitScale =>
    unitScale(named[i]?.unit ?? "", dimension, at(0, 0));
  const valueScale = scaleOf(0, spec.value);
  const downScale = scaleOf(1, spec.down);
  const acrossScale = scaleOf(2, spec.across);
  const faults: BellmouthError[] = [];
  const number = (row: number, index: number, scale: UnitScale): number => {
    const cell = plainText(rows[row]?.[index] ?? "");
    const value = NUMBER_PATTERN.test(cell) ? Number(cell) * scale.factor + scale.offset : Number.NaN;
    if (!Number.isFinite(value) && faults.length < 20) {
      faults.push(
        new BellmouthError({
          code: "E_NUMBER",
          message: numberHint(cell),
          found: cell === "" ? "an empty cell" : `'${shown(cell)}'`,
          accepted: `a decimal number${scale.unit === "" ? "" : ` in ${scale.unit}`}`,
          at: at(row, index),
        }),
      );
    }
    return value;
  };
  const width = rows[0]?.length ?? 0;
  rows.forEach((cells, row) => {
    if (cells.length === width || faults.length >= 20) return;
    faults.push(
      new BellmouthError({
        code: "E_SYNTAX",
        message: `a row of ${cells.length} cells under a header of ${width}`,
        accepted: `${width} cells`,
        at: at(row, 0),
      }),
    );
  });
  if (rows.length < 3 || width < 3) {
    throw new BellmouthError({
      code: "E_SHAPE",
      message: "a table over two axes needs two breakpoints each way",
      found: `${Math.max(0, rows.length - 1)} down and ${Math.max(0, width - 1)} across`,
      accepted: "at least two and two",
      at: at(0, 0),
    });
  }
  if (faults.length > 0) throw gathered(faults);
  const across = Array.from({ length: width - 1 }, (_, c) => number(0, c + 1, acrossScale));
  const down = Array.from({ length: rows.length - 1 }, (_, r) => number(r + 1, 0, downScale));
  const values = down.map((_, r) => across.map((__, c) => number(r + 1, c + 1, valueScale)));
  if (faults.length > 0) throw gathered(faults);
  const rising = (
    list: readonly number[],
    place: (i: number) => ReturnType<typeof at>,
    name: string,
  ): void => {
    list.forEach((value, i) => {
      const before = list[i - 1];
      if (before === undefined || value > before) return;
      faults.push(
        new BellmouthError({
          code: "E_ORDER",
          message: `breakpoints of ${name} must rise strictly`,
          found: value === before ? "a repeated breakpoint" : "a smaller breakpoint",
          accepted: "more than the breakpoint before",
          at: place(i),
        }),
      );
    });
  };
  rising(across, (i) => at(0, i + 1), named[2]?.name ?? "");
  rising(down, (i) => at(i + 1, 0), named[1]?.name ?? "");
  if (faults.length > 0) throw gathered(faults.slice(0, 5));
  return {
    name: named[0]?.name ?? "",
    dimension: spec.value,
    unit: valueScale.unit,
    down: { name: named[1]?.name ?? "", dimension: spec.down, unit: downScale.unit, values: down },
    across: { name: named[2]?.name ?? "", dimension: spec.across, unit: acrossScale.unit, values: across },
    values,
  };
}

/** Writes a table over two axes in the form `readTwoAxisTable` reads. */
export function writeTwoAxisTable(table: TwoAxisTable): string {
  const value = unitScale(table.unit, table.dimension);
  const down = unitScale(table.down.unit, table.down.dimension);
  const across = unitScale(table.across.unit, table.across.dimension);
  const label = (name: string, unit: string): string => (unit === "" ? name : `${name} [${unit}]`);
  const corner = `${label(table.name, table.unit)} by ${label(table.down.name, table.down.unit)} and ${label(table.across.name, table.across.unit)}`;
  const head = [textCell(corner), ...table.across.values.map((x) => numberCell(x, across))];
  const body = table.values.map((row, r) => [
    numberCell(table.down.values[r] ?? Number.NaN, down),
    ...row.map((x) => numberCell(x, value)),
  ]);
  return [head, ...body].map((cells) => `${cells.join(",")}\n`).join("");
}

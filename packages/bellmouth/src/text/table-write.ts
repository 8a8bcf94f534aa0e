import { BellmouthError } from "../fault/index.js";
import { shortestText } from "./number-text.js";
import type { Dimension } from "./unit-list.js";
import { type UnitScale, unitScale } from "./unit-scale.js";

/** A column to write: numbers in SI with the unit to show them in, or text. */
export type WrittenColumn =
  | {
      readonly name: string;
      readonly unit: string;
      readonly dimension: Dimension;
      /** SI; NaN writes an empty cell */
      readonly values: readonly number[];
      /** significant digits, in the unit shown, for columns that people read or type; all when left out */
      readonly digits?: number;
    }
  | { readonly name: string; readonly text: readonly string[] };

/**
 * Writes a table with units in its header, comma separated, LF line ends. Numbers read back to the last bit or the
 * one beside it, unless the column names its digits. Text that a spreadsheet would run as a formula gets an apostrophe before it.
 *
 * @throws `E_SHAPE` when columns differ in length, `E_UNIT` on units
 * @example
 * writeTable([{ name: "airflow", unit: "g/s", dimension: "mass flow", values: [0.21] }]) // => "airflow [g/s]\n210\n"
 */
export function writeTable(columns: readonly WrittenColumn[]): string {
  const lengths = columns.map((column) => ("text" in column ? column.text : column.values).length);
  const rows = lengths[0] ?? 0;
  if (lengths.some((length) => length !== rows)) {
    throw new BellmouthError({
      code: "E_SHAPE",
      message: "columns of one table need equal lengths",
      found: lengths.join(", "),
      accepted: "equal lengths",
      at: { path: "columns" },
    });
  }
  const cells = columns.map((column) => {
    if ("text" in column) return [textCell(column.name), ...column.text.map(textCell)];
    const scale = unitScale(column.unit, column.dimension);
    return [
      headerText(column.name, scale.unit),
      ...column.values.map((value) => numberCell(value, scale, column.digits)),
    ];
  });
  let text = "";
  for (let row = 0; row <= rows; row++) text += `${cells.map((column) => column[row]).join(",")}\n`;
  return text;
}

const headerText = (name: string, unit: string): string => textCell(unit === "" ? name : `${name} [${unit}]`);

/** One step of a double: a stored 86 x 0.005 g/s then reads `0.43`, not `0.43000000000000005`. */
const LAST_BIT = 2 ** -52;

/** An SI number in the unit of the column. */
export function numberCell(value: number, scale: UnitScale, digits?: number): string {
  if (Number.isNaN(value)) return "";
  const written = (value - scale.offset) / scale.factor;
  if (digits !== undefined)
    return Number.isFinite(written) ? String(Number(written.toPrecision(digits))) : "";
  return shortestText(written, (x) => x * scale.factor + scale.offset, value, LAST_BIT);
}

/**
 * Text as a cell: quoted where needed, and with an apostrophe before anything a spreadsheet would take for a
 * formula or command (`=`, `+`, `-`, `@`, their full-width twins, tab, carriage return).
 */
export function textCell(text: string): string {
  const harmless = /^\s*[=+\-@\uff1d\uff0b\uff0d\uff20|]|^[\t\r]/u.test(text) ? `'${text}` : text;
  return /[",;\t\r\n']/u.test(harmless) || harmless.trim() !== harmless
    ? `"${harmless.replaceAll('"', '""')}"`
    : harmless;
}

import { readClocks, writeClock } from "./clock.js";
import type { Column, Dialect } from "./dialect.js";
import type { DriveValues } from "./drive.js";
import { encode } from "./encode.js";
import { readNumber, writeNumber } from "./number-format.js";

/** Cells of the columns as printed: one list of texts a column, one text a row. */
export type Cells = readonly (readonly string[])[];

export function writeName(name: string, style: Dialect["nameStyle"]): string {
  const words = name.split(/[\s-]+/);
  if (style === "capitals") return words.join("_").toUpperCase();
  if (style === "underscores") return words.join("_").toLowerCase();
  if (style === "lower") return name.toLowerCase();
  if (style === "run together") return words.map((w) => w.charAt(0).toUpperCase() + w.slice(1)).join("");
  return name;
}

/** Header cell and units-row cell of a column. */
export function writeHeader(
  column: Column,
  dialect: Dialect,
): { readonly head: string; readonly unit: string } {
  const name = writeName(column.name, dialect.nameStyle);
  const { unit } = column;
  if (dialect.headless) return { head: "", unit: "" };
  if (unit === "") return { head: name, unit: "" };
  switch (dialect.units) {
    case "brackets":
      return { head: `${name} [${unit}]`, unit: "" };
    case "parentheses":
      return { head: `${name} (${unit})`, unit: "" };
    case "slash":
      return { head: `${name} / ${unit}`, unit: "" };
    case "suffix":
      return { head: `${name}_${unit}`, unit: "" };
    case "row":
      return { head: name, unit };
    case "none":
    case "glued":
      return { head: name, unit: "" };
  }
}

export function writeCell(value: number, row: number, column: Column, dialect: Dialect): string {
  if (Number.isNaN(value)) return dialect.missing;
  if (column.channel === "time" && dialect.clock.form !== "number")
    return writeClock(value, row, dialect.clock);
  const text = writeNumber(column.meaning.fromSI(value), dialect.format, column.digits);
  return dialect.units === "glued" ? `${text}${column.unit}` : text;
}

/** Cells of one column. */
export function writeCells(values: Float64Array, column: Column, dialect: Dialect): readonly string[] {
  if (column.texts !== undefined) return column.texts;
  return Array.from(values, (value, row) => writeCell(value, row, column, dialect));
}

/** What a cell says under a meaning, in SI; `undefined` when the dialect's format does not write such a text. */
export function readCell(text: string, column: Column, dialect: Dialect): number | undefined {
  if (text === dialect.missing) return Number.NaN;
  const glued = dialect.units === "glued" && column.unit !== "";
  if (glued && !text.endsWith(column.unit)) return undefined;
  const bare = glued ? text.slice(0, -column.unit.length) : text;
  const written = readNumber(bare, dialect.format);
  return written === undefined ? undefined : column.meaning.toSI(written);
}

/** What a printed column says, in SI, read back by the dialect that printed it. */
export function readCells(
  texts: readonly string[],
  column: Column,
  dialect: Dialect,
): Float64Array | undefined {
  if (column.channel === "time" && dialect.clock.form !== "number") {
    return readClocks(texts, dialect.clock.form);
  }
  const out = new Float64Array(texts.length);
  for (let i = 0; i < texts.length; i++) {
    const value = readCell(texts[i]!, column, dialect);
    if (value === undefined) return undefined;
    out[i] = value;
  }
  return out;
}

/** What the file says in comments: what units leave open, and lines that say nothing. */
export function writeComments(dialect: Dialect): readonly string[] {
  const lines = [...dialect.preamble];
  if (dialect.tells) {
    for (const { meaning } of dialect.columns) {
      const line = meaning.tells?.[dialect.telling];
      if (line !== undefined && !lines.includes(line)) lines.push(line);
    }
    if (dialect.columns.some((c) => c.channel === "airflow 2")) {
      lines.push(dialect.airParts ? "total air = bank 1 + bank 2" : "each air meter carries the total air");
    }
  }
  if (dialect.pace?.told) lines.push(`sample rate ${1 / dialect.pace.step} Hz`);
  return lines.map((line) => `${dialect.comment} ${line}`.trimStart());
}

function writeLine(cells: readonly string[], dialect: Dialect, widths?: readonly number[]): string {
  if (dialect.separator === "spaces") {
    return cells
      .map((c, i) => (c === "" ? "-" : c).padStart((widths?.[i] ?? 0) + 2))
      .join("")
      .trimEnd();
  }
  const sep = dialect.separator;
  const line = cells
    .map((cell) => {
      const quoted = dialect.quote === "all" || (dialect.quote === "needed" && cell.includes(sep));
      return `${dialect.leadingSpaces ? " " : ""}${quoted ? `"${cell}"` : cell}`;
    })
    .join(sep);
  return dialect.trailingSeparator ? line + sep : line;
}

/** The file's text from its cells. */
export function layOut(cells: Cells, dialect: Dialect): string {
  const heads = dialect.columns.map((c) => writeHeader(c, dialect));
  const top = dialect.headless ? [] : [heads.map((h) => h.head)];
  if (dialect.units === "row") top.push(heads.map((h) => h.unit));
  const rows = cells[0]?.length ?? 0;
  const body: string[][] = [];
  for (let i = 0; i < rows; i++) {
    if (i > 0 && dialect.repeatHeaderEvery !== undefined && i % dialect.repeatHeaderEvery === 0)
      body.push(...top);
    body.push(cells.map((column) => column[i]!));
  }
  const all = [...top, ...body];
  const widths = dialect.columns.map((_, j) => all.reduce((w, line) => Math.max(w, line[j]!.length), 0));
  const lines = [...writeComments(dialect), ...all.map((line) => writeLine(line, dialect, widths))];
  const text = lines.join(dialect.lineEnd) + dialect.lineEnd;
  return dialect.cut ? text.slice(0, -(dialect.lineEnd.length + 1)) : text;
}

/** SI values, one array a column, into the bytes of a file. */
export function printColumns(values: readonly Float64Array[], dialect: Dialect): Uint8Array {
  const cells = dialect.columns.map((column, j) => writeCells(values[j]!, column, dialect));
  return encode(layOut(cells, dialect), dialect.encoding);
}

/** Values of the drive in the order of a dialect's columns. */
export function columnsOf(drive: DriveValues, dialect: Dialect): readonly Float64Array[] {
  return dialect.columns.map((column) => drive[column.channel] ?? new Float64Array(0));
}

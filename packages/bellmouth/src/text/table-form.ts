import { BellmouthError, type FaultPlace } from "../fault/index.js";
import { shown } from "./nearest.js";

/** How a table's text is laid out. */
export interface TableForm {
  readonly delimiter: "," | ";" | "\t";
  readonly newline: "\n" | "\r\n" | "\r";
  /** Line and column of a cell; `rows` are the parsed rows, `row` counts from 0 with the header. */
  readonly place: (rows: readonly (readonly string[])[], row: number, index: number) => FaultPlace;
}

/**
 * Finds delimiter and line ends from the header, which has no numbers that commas could belong to. Never a guess:
 * two kinds of delimiter in the header are a mistake.
 *
 * @throws `E_SHAPE` on an empty file, `E_SYNTAX` on a header with several delimiters
 */
export function tableForm(text: string, file?: string): TableForm {
  const named = file === undefined ? {} : { file };
  const end = /\r\n|\n|\r/u.exec(text);
  const newline = (end?.[0] ?? "\n") as TableForm["newline"];
  const header = end === null ? text : text.slice(0, end.index);
  if (header.trim() === "") {
    throw new BellmouthError({
      code: "E_SHAPE",
      message:
        text.trim() === "" ? "the table is empty" : "the first line is empty where the header should be",
      accepted: "a header with names and units, as in 'signal [Hz],airflow [g/s]'",
      at: { ...named, line: 1, column: 1 },
    });
  }
  // Units in brackets and quoted names may hold anything.
  const outside = header.replace(/"[^"]*"|\[[^\]]*\]/gu, "");
  const found = ([",", ";", "\t"] as const).filter((delimiter) => outside.includes(delimiter));
  if (found.length > 1) {
    throw new BellmouthError({
      code: "E_SYNTAX",
      message: "several kinds of delimiter in the header",
      found: `'${shown(header, 120)}'`,
      accepted: "one of comma, semicolon or tab between all cells",
      at: { ...named, line: 1, column: 1 },
    });
  }
  const delimiter = found[0] ?? ",";
  const place: TableForm["place"] = (rows, row, index) => {
    let line = 1;
    for (let r = 0; r < row; r++) {
      line++;
      // Quoted cells may hold line ends.
      for (const cell of rows[r] ?? []) if (cell.includes("\n")) line += cell.split("\n").length - 1;
    }
    return { ...named, line, column: columnOfCell(lineOf(text, line, newline), delimiter, index) };
  };
  return { delimiter, newline, place };
}

/** Text of a line, counted from 1. */
function lineOf(text: string, line: number, newline: string): string {
  let start = 0;
  for (let n = 1; n < line; n++) {
    const next = text.indexOf(newline, start);
    if (next < 0) return "";
    start = next + newline.length;
  }
  const end = text.indexOf(newline, start);
  return text.slice(start, end < 0 ? undefined : end);
}

/** Column, counted from 1, at which the cell `index` of a line begins. */
function columnOfCell(line: string, delimiter: string, index: number): number {
  let quoted = false;
  let cell = 0;
  if (index === 0) return 1;
  for (let i = 0; i < line.length; i++) {
    if (line[i] === '"') quoted = !quoted;
    else if (line[i] === delimiter && !quoted) {
      cell++;
      if (cell === index) return i + 2;
    }
  }
  return line.length + 1;
}

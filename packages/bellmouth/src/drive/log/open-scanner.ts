import { type FileLayout as LogLayout, splitHeader, splitRow } from "../../columns/index.js";
import { BellmouthError } from "../../fault/index.js";
import { makeScanner, type Scanner } from "./scan.js";
import type { SlotKind } from "./scan-plan.js";
import { makeTranscoder } from "./source.js";

/** Rows held in numbers at a time. */
export const BLOCK_ROWS = 4096;

export function requireLayout(layout: LogLayout): void {
  const refuse = (found: string, accepted: string, path: string): never => {
    throw new BellmouthError({
      code: "E_SYNTAX",
      message: "the layout contradicts itself",
      found,
      accepted,
      at: { path: `layout.${path}` },
    });
  };
  if (![",", ";", "\t", "|", " ", "  "].includes(layout.delimiter)) {
    refuse(JSON.stringify(layout.delimiter), "comma, semicolon, tab or bar", "delimiter");
  }
  if (layout.decimal !== "." && layout.decimal !== ",") {
    refuse(JSON.stringify(layout.decimal), "a point or a comma", "decimal");
  }
  if (!(Number.isInteger(layout.firstDataLine) && layout.firstDataLine >= 1)) {
    refuse(String(layout.firstDataLine), "a line number from 1", "firstDataLine");
  }
  if (layout.headerLine !== null && !(layout.headerLine >= 1 && layout.headerLine < layout.firstDataLine)) {
    refuse(String(layout.headerLine), "a line before the first row of values", "headerLine");
  }
  if (layout.columns.length === 0) refuse("no columns", "at least one", "columns");
}

/** Letters and digits that no encoding mangles. */
const ascii = (text: string): string => text.replace(/[^\x21-\x7e]/g, "");

/** Column names as a later line of the file has them: a part that was appended by a logger set up in another way must not be read by place. */
function checkRepeated(layout: LogLayout, text: string, line: number): void {
  const cells = splitRow(
    text,
    layout.delimiter === " " || layout.delimiter === "  " ? "\t" : layout.delimiter,
  ).fields.map((cell) => ascii(splitHeader(cell).name));
  const names = layout.columns.map(({ name }) => ascii(splitHeader(name).name));
  const known = cells.filter((cell) => cell !== "" && names.includes(cell));
  if (known.length < 2 || known.length < 0.5 * cells.length) return;
  const moved = cells.findIndex((cell, i) => cell !== names[i] && names.includes(cell));
  if (moved < 0 && cells.filter((cell) => cell !== "").length === names.length) return;
  throw new BellmouthError({
    code: "E_COLUMN",
    message: "a second header in the file names other columns than the first",
    found: `"${text.slice(0, 80)}"`,
    accepted: "one header, or the same again; otherwise the parts as files of their own",
    at: { line },
  });
}

/** Compares the file's header with the layout's columns: a log of another logger must not be read by place. */
function checkHeader(layout: LogLayout, text: string, line: number): void {
  const { fields } = splitRow(
    text,
    layout.delimiter === " " || layout.delimiter === "  " ? "\t" : layout.delimiter,
  );
  const cells =
    fields.length === layout.columns.length + 1 && fields.at(-1)?.trim() === ""
      ? fields.slice(0, -1)
      : fields;
  const wrong = layout.columns.findIndex(({ name, unit }, i) => {
    const cell = cells[i] ?? "";
    const { name: short, bracket } = splitHeader(cell);
    if (ascii(name) === ascii(cell)) return false;
    return !(
      ascii(name) === ascii(short) &&
      (bracket === null || unit === null || ascii(bracket) === ascii(unit))
    );
  });
  if (wrong < 0 && cells.length === layout.columns.length) return;
  throw new BellmouthError({
    code: "E_COLUMN",
    message: "the file's header is not the one the layout describes",
    found:
      wrong < 0
        ? `${cells.length} columns`
        : `"${(cells[wrong] ?? "").trim().slice(0, 80)}" as column ${wrong + 1}`,
    accepted:
      wrong < 0 ? `${layout.columns.length} columns` : `"${layout.columns[wrong]?.name.slice(0, 80)}"`,
    at: { line },
  });
}

interface Parts {
  readonly wanted: readonly number[];
  readonly kinds: readonly SlotKind[];
  readonly onBlock: (rows: number, values: readonly Float64Array[], last: boolean) => number;
  readonly mendsCut?: boolean;
}

/** Scanner behind its decoding and its check of the header. */
export function openScanner(layout: LogLayout, parts: Parts): Scanner {
  requireLayout(layout);
  const transcode = makeTranscoder(layout);
  const bytesAre = layout.encoding === "windows-1252" ? "windows-1252" : "utf-8";
  const decoder = new TextDecoder(bytesAre);
  let seen = layout.headerLine === null;
  const heads = new Set<string>();
  const scanner = makeScanner({
    delimiter: layout.delimiter === " " || layout.delimiter === "  " ? "\t" : layout.delimiter,
    decimal: layout.decimal,
    width: layout.columns.length,
    skip: layout.firstDataLine - 1,
    blockRows: BLOCK_ROWS,
    encoding: bytesAre,
    lastCell: layout.lastCell,
    onText: (line, text) => checkRepeated(layout, text, line),
    heads,
    ...parts,
    onSkipped(line, bytes) {
      if (line === layout.headerLine || line === layout.unitLine) heads.add(decoder.decode(bytes).trimEnd());
      if (line !== layout.headerLine) return;
      seen = true;
      checkHeader(layout, decoder.decode(bytes), line);
    },
  });
  return {
    counts: scanner.counts,
    push: (block) => scanner.push(transcode(block)),
    end() {
      scanner.end();
      if (seen) return;
      throw new BellmouthError({
        code: "E_SYNTAX",
        message: "the log ends before its header",
        accepted: `column names on line ${layout.headerLine}`,
      });
    },
  };
}

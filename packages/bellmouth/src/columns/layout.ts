import type { CellForm, DecimalMark } from "./cell.js";

/** Text encodings a file may have. */
export type FileEncoding = "utf-8" | "windows-1252" | "utf-16le" | "utf-16be";
/** What stands between cells: one character, or any run of blanks (`" "`), or two blanks and more (`"  "`). */
export type Delimiter = "," | ";" | "\t" | "|" | " " | "  ";

/** A column as the header names it. */
export interface FileColumn {
  /** Name without the unit, spaces trimmed; `column 3` where there is no header. */
  readonly name: string;
  /** As written, without its brackets; null where none is written. */
  readonly unit: string | null;
  /** Label of a group of columns that stands above the name. */
  readonly group?: string | undefined;
  /** Another unit, from the row of units, where it contradicts the one in the header. */
  readonly otherUnit?: string | undefined;
  /** How its cells are written, where they are not plain numbers. */
  readonly cells?: CellForm | undefined;
}

/** How a file of columns is written down. Plain data: the reader does what it says and guesses nothing. */
export interface FileLayout {
  readonly encoding: FileEncoding;
  readonly delimiter: Delimiter;
  readonly decimal: DecimalMark;
  /** Line of the column names, from 1; null where the file has none. */
  readonly headerLine: number | null;
  /** Line of units, from 1; null where there is none. */
  readonly unitLine: number | null;
  /** First line of values, from 1. */
  readonly firstDataLine: number;
  readonly columns: readonly FileColumn[];
  /** Least digits after the decimal mark, and least length, of the last column's cells: a shorter one at the end of the file was cut. */
  readonly lastCell?: { readonly decimals: number; readonly length: number } | undefined;
}

/** Repairs what a wrong encoding does to the degree sign, and the ordinal mark that stands in for it. */
export const mendDegrees = (text: string): string => text.replace(/Â°|Ã‚Â°|º|\uFFFD(?=\s*[CFK]\b)/gu, "°");

/** `MAF [g/s]` -> name and the text in its closing brackets, which may not be a unit. */
export function splitHeader(cell: string): { readonly name: string; readonly bracket: string | null } {
  const text = mendDegrees(cell).replace(/\s+/gu, " ").trim();
  const match =
    /^(?<name>.*?)\s*(?:\[(?<square>[^\][]*)\]|\((?<round>(?:[^()]|\([^()]*\))*)\)|\{(?<curly>[^{}]*)\})$/u.exec(
      text,
    );
  if (match?.groups === undefined || match.groups["name"] === "") return { name: text, bracket: null };
  const { square, round, curly } = match.groups;
  // `bar(a)`, `kPa (abs)`: the word belongs to the unit that stands before it.
  if (
    /^(?:a|g|abs|rel|gauge)$/iu.test(round ?? "") &&
    /(?:bar|kPa|hPa|Pa|psi|inHg|mmHg)$/iu.test(match.groups["name"] as string)
  )
    return { name: text, bracket: null };
  return { name: match.groups["name"] as string, bracket: (square ?? round ?? curly ?? "").trim() };
}

/** Cells of one line between a delimiter that stands for runs of blanks. */
export const splitBlanks = (line: string, delimiter: " " | "  "): readonly string[] => {
  const text = line.trim();
  return text === "" ? [] : text.split(delimiter === " " ? /[ \t]+/u : /(?: {2,}|\t+)/u);
};

import type { DecimalMark } from "./field.js";

/** Text encodings a log may have. UTF-16 is decoded on the way in; the two others carry numbers as plain bytes. */
export type LogEncoding = "utf-8" | "windows-1252" | "utf-16le" | "utf-16be";
export type LogDelimiter = "," | ";" | "\t" | "|";

/** A column as the header names it. */
export interface LogColumn {
  /** Name without the unit, spaces trimmed; `column 3` where there is no header. */
  readonly name: string;
  /** As written, without its brackets; null where none is written. */
  readonly unit: string | null;
}

/**
 * How a log is written down. Plain data, meant to be looked at and corrected: the reader does what it says and
 * guesses nothing.
 */
export interface LogLayout {
  readonly encoding: LogEncoding;
  readonly delimiter: LogDelimiter;
  readonly decimal: DecimalMark;
  /** Line of the column names, from 1; null where the file has none. */
  readonly headerLine: number | null;
  /** Line of units below the header, from 1; null where there is none. */
  readonly unitLine: number | null;
  /** First line of values, from 1. */
  readonly firstDataLine: number;
  readonly columns: readonly LogColumn[];
}

/** A column by name, or by place (from 0) where names repeat. */
export type ColumnRef = string | number;

/** Repairs what a wrong encoding does to the degree sign, and the ordinal mark that stands in for it. */
export const mendDegrees = (text: string): string => text.replace(/Â°|Ã‚Â°|º|\uFFFD(?=\s*[CFK]\b)/gu, "°");

/** `MAF [g/s]` -> name and the text in its closing brackets, which may not be a unit. */
export function splitHeader(cell: string): { readonly name: string; readonly bracket: string | null } {
  const text = mendDegrees(cell).trim();
  const match = /^(?<name>.*?)\s*(?:\[(?<square>[^\][]*)\]|\((?<round>[^()]*)\))$/u.exec(text);
  if (match?.groups === undefined || match.groups["name"] === "") return { name: text, bracket: null };
  const bracket = (match.groups["square"] ?? match.groups["round"] ?? "").trim();
  return { name: match.groups["name"] as string, bracket };
}

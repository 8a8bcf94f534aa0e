import type { CellForm, DecimalMark } from "../../columns/index.js";

/** How one wanted column is read. */
export type SlotKind =
  | { readonly kind: "number" }
  | { readonly kind: "clock" }
  | { readonly kind: "form"; readonly form: CellForm }
  | { readonly kind: "words"; readonly words: ReadonlyMap<string, number> }
  /** Any text; each new one gets the next number. */
  | { readonly kind: "labels"; readonly labels: Map<string, number> };

export interface ScanPlan {
  readonly delimiter: string;
  readonly decimal: DecimalMark;
  /** Columns the header names. */
  readonly width: number;
  /** Wanted columns, from 0, each once. */
  readonly wanted: readonly number[];
  /** How each wanted column is read. */
  readonly kinds: readonly SlotKind[];
  /** Lines before the first row of values. */
  readonly skip: number;
  /** Called with each skipped line (number from 1, bytes without line end). */
  readonly onSkipped?: (line: number, bytes: Uint8Array) => void;
  readonly blockRows: number;
  /**
   * Takes `rows` rows; returns how many of the last it wants to see again at the front of the next block, at most
   * half of them and none after the `last` block.
   */
  readonly onBlock: (rows: number, values: readonly Float64Array[], last: boolean) => number;
  /** Called with a line among the values that holds text instead (number from 1). */
  readonly onText?: ((line: number, text: string) => void) | undefined;
  /** Lines of names and units as they stand above the values, without their ends: met again, they are no rows. */
  readonly heads?: ReadonlySet<string> | undefined;
  /** Whether the last cell of a row that the file's end cuts off is missing. */
  readonly mendsCut?: boolean | undefined;
  /** Least digits after the decimal mark, and least length, of the last column's cells: by them a cut cell at the file's end shows. */
  readonly lastCell?: { readonly decimals: number; readonly length: number } | undefined;
  /** Of the bytes as they reach the scanner; UTF-8 unless said. */
  readonly encoding?: "utf-8" | "windows-1252";
}

/** What the scanner counted. Lines are of the file, from 1. */
export interface ScanCounts {
  rows: number;
  blank: number;
  short: number;
  shortLine: number;
  long: number;
  longLine: number;
  quoted: number;
  quotedLine: number;
  broken: number;
  brokenLine: number;
  text: number;
  textLine: number;
  cut: number;
  cutLine: number;
  /** Per wanted column. */
  readonly missing: Uint32Array;
  readonly unreadable: Uint32Array;
  readonly unreadableLine: Uint32Array;
  readonly unreadableText: string[];
}

/** Nothing counted yet, for this many wanted columns. */
export const noCounts = (slots: number): ScanCounts => ({
  rows: 0,
  blank: 0,
  short: 0,
  shortLine: 0,
  long: 0,
  longLine: 0,
  quoted: 0,
  quotedLine: 0,
  broken: 0,
  brokenLine: 0,
  text: 0,
  textLine: 0,
  cut: 0,
  cutLine: 0,
  missing: new Uint32Array(slots),
  unreadable: new Uint32Array(slots),
  unreadableLine: new Uint32Array(slots),
  unreadableText: new Array<string>(slots).fill(""),
});

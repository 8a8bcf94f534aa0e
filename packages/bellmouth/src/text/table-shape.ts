import type { GivenTable, TableColumnUse, TableQuantity } from "../columns/index.js";
import type { FaultPlace } from "../fault/index.js";
import type { Dimension } from "./unit-list.js";

/** Most rows of a table read whole; longer recordings are drives, which are streamed. */
export const MOST_ROWS = 1_000_000;
/** Most mistakes reported of one table. */
export const MOST_FAULTS = 20;

/** A column that a table must or may have. */
export interface ColumnSpec {
  /** Name in the header, without its unit. */
  readonly name: string;
  /** Other names it may go by. */
  readonly aliases?: readonly string[];
  /** What its unit may measure; the unit written decides between several. */
  readonly dimensions: readonly Dimension[];
  readonly optional?: boolean;
  /** Unit of a column whose header names none; a header that names another is a mistake. */
  readonly unit?: string;
  /** Blank cells are missing values (NaN) instead of mistakes. */
  readonly blanks?: "missing";
  /** What it holds, for files that name it in their own words; without it only `name` and `aliases` are known. */
  readonly holds?: TableQuantity;
}

export interface TableOptions {
  /** Name for messages. */
  readonly file?: string;
  /** What to do with columns that no spec names; a misspelt optional column would otherwise go unseen. */
  readonly others?: "refuse" | "ignore";
  /** The decimal mark, where the cells alone cannot show it. */
  readonly decimal?: "point" | "comma";
  /** What the file does not say: a `columns` block as data. */
  readonly given?: GivenTable | undefined;
  /** Told what became of each column, where the file is in its own words. */
  readonly told?: ((uses: readonly TableColumnUse[]) => void) | undefined;
}

export interface TableColumn {
  readonly name: string;
  readonly dimension: Dimension;
  /** unit as written in the header */
  readonly unit: string;
  /** in SI; NaN where a blank cell is allowed */
  readonly values: readonly number[];
  /** where the column's header stands */
  readonly at: FaultPlace;
}

/** A table as read: columns by spec name, in SI. */
export interface Table {
  readonly file: string | undefined;
  readonly rows: number;
  readonly columns: { readonly [name: string]: TableColumn };
  /** What became of each column of a file that is written in its own words; empty where the header has the names of this table. */
  readonly uses: readonly TableColumnUse[];
  /** Place of a cell: row counted from 0. */
  readonly placeOf: (row: number, column: string) => FaultPlace;
}

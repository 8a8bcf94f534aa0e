import type { CellForm, ColumnScale } from "./cell.js";
import type { ColumnChannel } from "./channel-rules.js";
import type { TimeSource } from "./judge-time.js";
import type { FileLayout } from "./layout.js";
import type { ColumnQuestion } from "./question.js";
import type { PressureReference } from "./unit-words.js";

/** One column of a channel: its number from 0, what its numbers become, how they are written. */
export interface PlacedColumn {
  readonly column: number;
  /** Bank that its name speaks of. */
  readonly bank?: 1 | 2 | undefined;
  readonly scale: ColumnScale;
  readonly cells?: CellForm | undefined;
}

/** A channel that is read: from one column, from those of two banks, or by a formula. */
export interface PlacedChannel {
  readonly channel: ColumnChannel;
  readonly columns: readonly PlacedColumn[];
  readonly combine: "one" | "sum" | "mean";
  readonly formula?: { readonly text: string; readonly names: readonly string[] } | undefined;
  /** What a pressure is measured from, and where the outside air's stands. */
  readonly reference?: PressureReference | undefined;
  readonly barometer?: PlacedColumn | { readonly pascals: number } | undefined;
  readonly unit: string;
  /** Why it is read so, in words: "by its header, g/s". */
  readonly how: string;
}

/** What becomes of a column: every column of a file has one of these. */
export interface ColumnUse {
  /** From 1. */
  readonly number: number;
  readonly name: string;
  readonly use: "used" | "asked" | "ignored";
  readonly channel: ColumnChannel | "time" | "split" | null;
  /** How it is read, what is asked, or why it is not used. */
  readonly reason: string;
}

/** How a file is read. Plain data. */
export interface ColumnsRead {
  readonly layout: FileLayout;
  readonly time: TimeSource | null;
  /** Column that begins another drive where it changes, from 0. */
  readonly split: number | null;
  readonly channels: readonly PlacedChannel[];
  /** Every column of the file, in its order. */
  readonly columns: readonly ColumnUse[];
  readonly questions: readonly ColumnQuestion[];
  /** Lines of the file's own comments that were used. */
  readonly said: readonly string[];
  readonly evidence: readonly string[];
}

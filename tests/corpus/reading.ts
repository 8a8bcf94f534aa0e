import type { FileKind } from "./cars.js";
import type { ChannelName, SignalKind } from "./channels.js";
import type { Meaning } from "./meaning.js";

/**
 * What a reader makes of one file, in the corpus's own words. `adapter.ts` alone knows the reader; everything else here
 * knows this shape.
 */
export interface ReaderResult {
  /** A typed refusal of the whole file: its text. Questions stand in `asked`, not here. */
  readonly refused?: string;
  /** Anything thrown that is no typed error: its text. */
  readonly crashed?: string;
  /** Rows of the channels below. */
  readonly rows: number;
  readonly used: readonly UsedColumn[];
  readonly asked: readonly ColumnNote[];
  readonly ignored: readonly ColumnNote[];
  /** What was found, as a person reads it: samples set missing, held values, rows left out. */
  readonly findings: readonly string[];
  readonly drives: number;
}

export interface UsedColumn {
  readonly channel: ChannelName;
  readonly column: ColumnKey;
  /** SI, one a row, NaN where missing. Time counts from the first row. */
  readonly values: Float64Array;
}

export interface ColumnNote {
  readonly column: ColumnKey;
  readonly text: string;
}

/** A column of the file: its index from 0, or the text of its header. */
export type ColumnKey = number | string;

/** What the person answers about one column. */
export interface Answer {
  /** from 0 */
  readonly column: number;
  /** The header's text as it stands in the file. */
  readonly header: string;
  readonly channel: ChannelName;
  readonly meaning: Meaning;
  /** A column that is no channel: told to be left out. */
  readonly role?: "split" | "date" | undefined;
}

/** One file given to the reader. */
export interface ReaderRequest {
  readonly file: string;
  readonly bytes: Uint8Array;
  readonly kind: FileKind;
  /** Kind of signal of the table in use. */
  readonly signal: SignalKind;
  readonly given?: "service-data units" | undefined;
  readonly pressureReads?: "absolute" | undefined;
  /** Both air meters carry a part of the air, or each the whole: part of the answer where two stand in a file. */
  readonly airParts?: boolean | undefined;
  /** Nothing at first; then what the person says to every question of the first reading. */
  readonly answers: readonly Answer[];
}

export type Reader = (request: ReaderRequest) => ReaderResult;

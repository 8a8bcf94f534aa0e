import type { GivenColumns } from "../../columns/index.js";
import type { Knowledge } from "../../drive/index.js";
import type { TransferCurve } from "../../sensor/index.js";

/** A refinement, read: all numbers SI, tables loaded; logs are named, not loaded. Plain data that a worker can be sent. */
export interface RefineDocument {
  readonly kind: "refine";
  readonly title: string;
  /** The table in the ECU during the drives, with its error budget. */
  readonly curve: TransferCurve;
  /** What an earlier pass left known of the curve; null on the first pass. */
  readonly prior: Knowledge | null;
  readonly units: { readonly signal: string; readonly flow: string };
  /** File names relative to the document. */
  readonly logs: readonly string[];
  /** What the logs do not say themselves, for all of them. */
  readonly columns: GivenColumns;
  /** Rows without meaningful time stamps. */
  readonly untimed: boolean;
  /** Trims were off, though the logs do not show them. */
  readonly trimsOff: boolean;
  /** Drives with the meter before the swap, on its own table: they tell what is wrong with the fuel side. */
  readonly oldMeter: { readonly curve: TransferCurve; readonly logs: readonly string[] } | null;
  /** Largest change of a cell in one pass [1]. */
  readonly largestChange: number;
}

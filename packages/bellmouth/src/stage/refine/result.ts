import type { DriveSummary, LogFinding, RefineResult } from "../../drive/index.js";
import type { KeyFigure, Verdict } from "../plan/index.js";
import type { ReadAs } from "./log-mapping.js";

/** A log as it was read. */
export interface ReadLogSummary {
  readonly name: string;
  readonly rows: number;
  readonly readAs: readonly ReadAs[];
  readonly findings: readonly LogFinding[];
}

/**
 * Result of refining a table from drives: plain JSON-ready data in SI (flow kg/s, signal Hz or V, engine speed rev/s,
 * pressure ratio over outside 1, ratios 1).
 */
export interface RefineReport {
  readonly bellmouth: "refine 1";
  readonly title: string;
  readonly signal: "frequency" | "voltage";
  readonly units: { readonly flow: string; readonly signal: string };
  readonly verdict: Verdict;
  readonly keyFigures: readonly KeyFigure[];
  readonly cautions: readonly string[];
  readonly refinement: RefineResult;
  /** Fuel asked for over fuel delivered, told by the old meter's drives, ln [1]: above zero when injectors give too little; null without them. */
  readonly fuelScale: { readonly value: number; readonly u: number } | null;
  readonly logs: readonly ReadLogSummary[];
  readonly oldMeter: {
    readonly logs: readonly ReadLogSummary[];
    readonly drives: readonly DriveSummary[];
  } | null;
}

import type { TransferCurve } from "../../sensor/index.js";
import type { GateCounts } from "./gate.js";
import type { MixtureSource } from "./mixture-source.js";
import type { NoiseLaw } from "./noise.js";
import type { TransientLaw } from "./transient.js";
import type { TransportLaw } from "./transport.js";

export type { MixtureSource };

/** Why a drive could not be used at all. */
export type RefusalReason =
  | "no signal" // neither the sensor's signal nor the metered airflow is logged
  | "no lambda and no trims" // nothing tells the mixture: a diesel's log, or channels left out
  | "trims not logged" // lambda without trims, and nobody said that they were off
  | "no trims in use" // trims are logged but never leave zero, and there is no lambda
  | "too short" // too few usable rows
  | "another table"; // the logged airflow is not what this table gives for the logged signal

/** What was learnt from one drive besides the table. */
export interface DriveSummary {
  readonly name: string;
  /** Null when the drive was used. */
  readonly refused: { readonly reason: RefusalReason; readonly text: string } | null;
  readonly source: MixtureSource;
  /** Length on its grid [s]. */
  readonly seconds: number;
  readonly gates: GateCounts;
  readonly transport: TransportLaw | null;
  readonly transient: TransientLaw | null;
  readonly noise: NoiseLaw | null;
  /** Delay at the drive's median flow and speed [s], with its standard uncertainty. */
  readonly delay: { readonly value: number; readonly u: number } | null;
  /** Correlation time over which samples tell the same thing [s], and the number of independent ones. */
  readonly effective: number;
  /** How much more the drive's stretches disagree than its noise law says, times what fitting took from the noise [1]; its evidence is divided by it. */
  readonly misfit: number;
  /** Trims at their limit while closed loop asked for more, share of the rows [1]. */
  readonly saturated: number;
}

/** Things besides the table that would leave a trace of their own in the drives. */
export const suspects = ["leak", "injector offset", "exhaust leak"] as const;
export type Suspect = (typeof suspects)[number];

/**
 * What drives tell about a table, as sums that add: plain data, so that each log can be read on another core or another day.
 * The form -x'Ax/2 + b'x is about x = (ln(true/table flow) of each cell, then the suspects' sizes), nuisance of each
 * drive already integrated out.
 */
export interface RefineSums {
  readonly kind: "refine sums";
  /** Flows of the table the sums are about [kg/s]; sums of different tables do not add. */
  readonly table: { readonly signal: readonly number[]; readonly flow: readonly number[] };
  /** Row-major, (cells + suspects) squared. */
  readonly matrix: readonly number[];
  readonly vector: readonly number[];
  /** Time near each cell that counted [s]. */
  readonly seconds: readonly number[];
  /** What was seen near each cell, delay and transients taken off: sums of weight and of weight x ln(true/table flow). */
  readonly seen: readonly { readonly weight: number; readonly sum: number }[];
  /** Where each cell was driven: sums of time, time x engine speed, time x pressure ratio. */
  readonly places: readonly { readonly time: number; readonly speed: number; readonly pressure: number }[];
  /** Air drawn per revolution at outside pressure [kg]: sum of time x value, and of time. */
  readonly filling: { readonly sum: number; readonly time: number };
  /** Time spent under load, the manifold near outside pressure [s]: only it sets a leak apart from the table. */
  readonly loaded: number;
  readonly drives: readonly DriveSummary[];
}

export interface RefineOptions {
  /** Coolant from which the engine counts as warm [K]; 343.15 when left out. */
  readonly warmFrom?: number;
  /** Grid step aimed at for fast logs [s]; 0.05 when left out. */
  readonly step?: number;
  /** True states that trims were off or do not exist, so that a log with lambda and no trims is taken as it is. */
  readonly trimsOff?: boolean;
  /** True when rows have no meaningful time stamps: each is then taken as steady and on its own. */
  readonly untimed?: boolean;
  /** Largest change of a cell in one pass, as a ratio [1]; 0.2 when left out, about what fuel trims can hide (common practice, no source). */
  readonly largestChange?: number;
  /**
   * Prior covariance of ln(true/table flow) [1], row-major: what an earlier pass left (`RefineResult.covariance`). The table's error
   * budgets when left out.
   */
  readonly prior?: readonly number[];
  /**
   * Fuel asked for over fuel delivered, told by a drive with the old meter (`fuelScaleOf`): ln ratio and its standard
   * uncertainty [1]; above 0 where injectors give too little. When left out, a common error of air and one of fuel cannot be told apart, and the air takes it all.
   */
  readonly fuelScale?: { readonly value: number; readonly u: number };
}

export interface RefinedCell {
  /** [Hz] or [V] */
  readonly signal: number;
  /** Before and after [kg/s]. */
  readonly before: number;
  readonly after: number;
  /** 95 % interval of the true flow [kg/s]. */
  readonly low: number;
  readonly high: number;
  /** Relative standard uncertainty after refining, and before [1]. */
  readonly u: number;
  readonly priorU: number;
  /** Time that counted near the cell [s]. */
  readonly seconds: number;
  /**
   * Mean of what was seen nearest to this cell, delay and transients taken off, as true over table flow [1]; null where nothing was. It
   * is for looking at: the estimate weighs neighbours, noise and what was known before as well.
   */
  readonly seen: number | null;
  /** Evidence: the share of the prior variance that the drives took away [1]. */
  readonly evidence: number;
  /** What kept the cell from its estimate. */
  readonly held: "largest change" | "order" | null;
}

/** What to drive next. */
export interface DriveAdvice {
  readonly cells: readonly [first: number, last: number];
  /** [kg/s] */
  readonly flow: readonly [from: number, to: number];
  /** Engine speed [rev/s] and manifold over outside pressure [1] that reach it; null where the drives cannot tell. */
  readonly speed: readonly [from: number, to: number] | null;
  readonly pressureRatio: readonly [from: number, to: number] | null;
  /** Widest relative standard uncertainty there now, and after the stated time there [1]. */
  readonly uNow: number;
  readonly uAfter: number;
  /** Steady driving assumed [s]. */
  readonly seconds: number;
}

export type VerdictCode =
  | "converged"
  | "drive more"
  | "leak"
  | "leak or table"
  | "injector offset"
  | "exhaust leak"
  | "scale cannot be told apart"
  | "lambda at its limit"
  | "trims saturated"
  | "lag"
  | "nothing usable";

export interface Verdict {
  readonly code: VerdictCode;
  /** One or two plain sentences. */
  readonly text: string;
}

export interface SuspectFinding {
  readonly suspect: Suspect;
  /** Size in the suspect's unit and its standard uncertainty: leak [kg/s at choked vacuum], offset [kg air per revolution], exhaust leak [1 at idle]. */
  readonly size: number;
  readonly u: number;
  /** ln of how much better the drives are explained with it than without. */
  readonly logOdds: number;
}

export interface RefineResult {
  readonly kind: "refinement";
  /** The refined table; cells say `refined` where drives spoke. */
  readonly curve: TransferCurve;
  readonly cells: readonly RefinedCell[];
  /** Posterior covariance of ln(true/after flow) [1], row-major: the next pass's prior. */
  readonly covariance: readonly number[];
  /** Variance factors by which the prior's parts were scaled to fit the drives [1]. */
  readonly priorScales: { readonly common: number; readonly shape: number };
  /** Common factor of all driven cells [1] and its standard uncertainty, before any fuel scale is taken off. */
  readonly common: { readonly value: number; readonly u: number };
  readonly suspects: readonly SuspectFinding[];
  readonly verdicts: readonly Verdict[];
  readonly next: readonly DriveAdvice[];
  readonly drives: readonly DriveSummary[];
}

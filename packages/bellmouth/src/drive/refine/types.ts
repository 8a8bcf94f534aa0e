import type { TransferCurve } from "../../sensor/index.js";
import type { GateCounts } from "./gate.js";
import type { MixtureSource } from "./mixture-source.js";
import type { NoiseLaw } from "./noise.js";
import type { ReferenceKnots } from "./reference.js";
import type { TransientLaw } from "./transient.js";
import type { TransportLaw } from "./transport.js";

export type { MixtureSource, ReferenceKnots };

/** Why a drive could not be used at all. */
export type RefusalReason =
  | "no signal" // neither the sensor's signal nor the metered airflow is logged
  | "no lambda and no trims" // nothing tells the mixture: a diesel's log, or channels left out
  | "trims not logged" // lambda without trims, and nobody said that they were off
  | "no trims in use" // trims are logged but never leave zero, and there is no lambda
  | "too short" // too few usable rows
  | "lambda stands still" // the sensor or its interface gives one value, whatever the engine does
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
  /** How much more the drive's stretches disagree than its noise law says [1]; its evidence is divided by it where no field over speed and load explains that. */
  readonly misfit: number;
  /** Trims at their limit while closed loop asked for more, share of the rows [1]. */
  readonly saturated: number;
}

/** Things besides the table that leave a trace of their own in the drives, so that their size can be estimated. */
export const possibleCauses = ["leak", "injector offset", "exhaust leak"] as const;
export type PossibleCause = (typeof possibleCauses)[number];

/**
 * What one drive tells: plain data of a size that does not depend on the table, its transients, noise and law integrated out. The form
 * -x'Ax/2 + b'x is about x = (ln(true/reference flow) at the knots, the field over speed and load, the drive's own offset over ln flow,
 * the possible causes' sizes). Numbers are kept to eight digits.
 */
export interface DriveEvidence {
  /** Lower triangle of A, row by row. */
  readonly matrix: readonly number[];
  readonly vector: readonly number[];
  /** Time near each knot that counted [s]. */
  readonly seconds: readonly number[];
  /** What was seen near each knot, delay and transients taken off: sums of weight and of weight x ln(true/reference flow). */
  readonly seen: { readonly weight: readonly number[]; readonly sum: readonly number[] };
  /** Where each knot was driven: sums of time, time x engine speed, time x pressure ratio. */
  readonly places: {
    readonly time: readonly number[];
    readonly speed: readonly number[];
    readonly pressure: readonly number[];
  };
  /** Air drawn per revolution at outside pressure [kg], ln of it, outside pressure [Pa]: sums of time x value, and of time. */
  readonly filling: { readonly sum: number; readonly ln: number; readonly time: number };
  readonly outside: { readonly sum: number; readonly time: number };
  /** Time spent under load, the manifold near outside pressure [s]. */
  readonly loaded: number;
  /** Digests of the drive's stretches, cut where their content says so: the same rows give the same, wherever a log begins. */
  readonly stretches: readonly string[];
  readonly summary: DriveSummary;
  /** Of all the above, as numbers: it survives another order of keys and another spelling of numbers. */
  readonly digest: string;
}

/** What drives tell about one reference curve: records that add, in any order, of drives made with whatever table was in the ECU. */
export interface RefineSums {
  readonly kind: "refine evidence";
  readonly version: 1;
  /** The curve that the evidence is about; evidence about different ones does not add. */
  readonly reference: ReferenceKnots;
  readonly drives: readonly DriveEvidence[];
}

/** What is known of a curve, its places together: the next pass's prior. */
export interface Knowledge {
  /** Knots: signal [Hz] or [V], and flow [kg/s] as far as known. */
  readonly signal: readonly number[];
  readonly flow: readonly number[];
  /** Covariance of ln(true/flow) [1]: lower triangle, row by row. */
  readonly covariance: readonly number[];
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
  /** What an earlier pass left known (`RefineResult.knowledge`). The table's error budgets when left out. */
  readonly prior?: Knowledge;
  /**
   * The table whose curve the evidence is about, where it is another than the one in the ECU: drives under table A, then B, then C all
   * count when each is summed with its own table and `reference: A`.
   */
  readonly reference?: TransferCurve;
  /**
   * Fuel asked for over fuel delivered, told by a drive with the old meter (`fuelScaleOf`): ln ratio and its standard
   * uncertainty [1]; above 0 where injectors give too little. When left out, a common error of air and one of fuel cannot be told apart, and the air takes it all.
   */
  readonly fuelScale?: { readonly value: number; readonly u: number };
}

/** An interval of flow [kg/s]. */
export interface FlowInterval {
  readonly low: number;
  readonly high: number;
}

export interface RefinedCell {
  /** [Hz] or [V] */
  readonly signal: number;
  /** The value in the table before, and the value to type in: what the ECU executes between cells is then nearest to the curve [kg/s]. */
  readonly before: number;
  readonly after: number;
  /** The curve itself at this signal: the most likely true flow [kg/s]. */
  readonly mean: number;
  /** 95 % interval of the true flow apart from a factor common to all cells that lambda cannot tell from fuel [kg/s]. */
  readonly shape: FlowInterval;
  /** 95 % interval of the true flow with that factor [kg/s]: the one to go by. */
  readonly low: number;
  readonly high: number;
  /** Relative standard uncertainty after refining (of `low` and `high`), of the shape alone, and before [1]. */
  readonly u: number;
  readonly uShape: number;
  readonly priorU: number;
  /** Largest and mean-square error of what the ECU executes about this cell against the curve [1]: what a straight line costs. */
  readonly executed: { readonly worst: number; readonly rms: number };
  /** Time that counted near the cell [s]. */
  readonly seconds: number;
  /**
   * Mean of what was seen nearest to this cell, delay and transients taken off, as true over table flow [1]; null where nothing was. It
   * is for looking at: the estimate weighs neighbours, noise and what was known before as well.
   */
  readonly seen: number | null;
  /** Evidence: the share of the prior variance that the drives took away [1]. */
  readonly evidence: number;
  /** What kept the cell from its estimate: a rail, a cause that would have leaned it, or too little certainty for a lean move. */
  readonly held: "largest change" | "order" | "possible cause" | "uncertain lean move" | null;
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

export type FindingCode =
  | "nothing usable"
  | "repeated log"
  | "leak"
  | "injector offset"
  | "exhaust leak"
  | "none of these"
  | "leak or table"
  | "scale cannot be told apart"
  | "beyond the plan"
  | "drives differ"
  | "stretches disagree"
  | "lambda at its limit"
  | "lambda stands still"
  | "trims saturated"
  | "trims only"
  | "lag"
  | "converged"
  | "drive more";

/** What the drives say besides the table. danger: do not use; caution: a decision is needed; note: to be known. */
export interface RefineFinding {
  readonly code: FindingCode;
  readonly level: "note" | "caution" | "danger";
  /** One to three plain sentences. */
  readonly text: string;
  /** Cells it is about. */
  readonly cells: readonly number[];
}

export interface CauseFinding {
  readonly cause: PossibleCause;
  /** Size in the cause's unit and its standard uncertainty: leak [kg/s at choked vacuum], offset [kg air per revolution], exhaust leak [1 at idle]. */
  readonly size: number;
  readonly u: number;
  /** ln of how much better the drives are explained with it than by the table, a field over speed and load, or another cause [1]. */
  readonly logOdds: number;
  /** True where the name is earned; one at most. */
  readonly named: boolean;
}

/** Where over speed and load the mixture is off in a way that no table of the signal can hold. */
export interface FieldRegion {
  /** Engine speed [rev/s], manifold over outside pressure [1] and manifold pressure [Pa]. */
  readonly speed: number;
  readonly pressureRatio: number;
  readonly pressure: number;
  /** ln(true/executed) there against elsewhere at the same airflow [1]: above 0 is lean. */
  readonly size: number;
  /** ln of how much better the drives are explained with a field than by the table or any cause [1]. */
  readonly logOdds: number;
}

export interface RefineResult {
  readonly kind: "refinement";
  /** The refined table; cells say `refined` where drives spoke. */
  readonly curve: TransferCurve;
  readonly cells: readonly RefinedCell[];
  /** What is now known of the curve: the next pass's prior. */
  readonly knowledge: Knowledge;
  /** Variance factors by which the prior's parts were scaled to fit the drives [1], the mean over what is likely. */
  readonly priorScales: { readonly common: number; readonly shape: number };
  /** Common factor of all driven cells, ln(true/before) [1], and its standard uncertainty, before any fuel scale is taken off. */
  readonly common: { readonly value: number; readonly u: number };
  /** Estimated standard deviation between drives, and of a field over speed and load, in ln [1]. */
  readonly spread: { readonly drives: number; readonly field: number };
  readonly causes: readonly CauseFinding[];
  /** The cause that is named, if any. It never leans a cell. */
  readonly named: CauseFinding | null;
  /** Where the drives show an error that neither the table nor a cause explains; null where they do not. */
  readonly region: FieldRegion | null;
  readonly findings: readonly RefineFinding[];
  readonly next: readonly DriveAdvice[];
  readonly drives: readonly DriveSummary[];
}

import type { MoistAir } from "../../air/index.js";
import type { RotationalSpeed } from "../../units/index.js";
import type { Estimate } from "../estimate.js";
import type { DriftOptions, StatedSoak } from "./drift.js";
import type { TrialQuantity, TrialSide } from "./run.js";
import type { Repeatability, UncertaintySource } from "./run-effect.js";

export interface TrialOptions {
  /** Engine speeds at which the runs are compared [rev/s], rising. */
  readonly points: readonly RotationalSpeed[];
  readonly quantity: TrialQuantity;
  /** Probability that the intervals hold the truth [1]; 0.95 when not given. */
  readonly confidence?: number;
  /** Probability [1] with which "could have seen" is meant; there is no default: 0.8 is usual. */
  readonly power: number;
  /** How runs may drift with time; "unknown" when not given, "none" is the caller's claim. See `DriftOptions`. */
  readonly drift?: DriftOptions["drift"];
  /** Heat soak that the caller knows the size of; without it its size is unknown, unless every run shows that it had settled. */
  readonly soak?: StatedSoak;
  /**
   * True where a compressor lifts the manifold above the outside air: pressures are then compared over the barometer as they
   * stand, not brought to common air, because a boost control and not the outside density decides them. False when not given.
   */
  readonly boosted?: boolean;
  /** Step of the gauge's display or of the log [Pa] or [K]; found from the values when not given, 0 for none. */
  readonly step?: number;
  /** How often the part can be exchanged: "often" for old, new, new, old; "few" for old, new, old. "often" when not given. */
  readonly swaps?: "often" | "few";
  /** Half-width of the window of the local regression [rev/s]; the least distance between points when not given. */
  readonly window?: RotationalSpeed;
  /** Air that pressures are brought to; the mean of the runs' airs when not given. */
  readonly common?: MoistAir;
  /** How well one run repeats another, known beforehand: needed where too few runs show it. Never assumed. */
  readonly repeatability?: Repeatability;
  /** A difference the caller would like to see [Pa] or [K]: the result then says how many runs would show it. */
  readonly wanted?: number;
}

export type TrialFlag =
  | "single pair" // one run a side: an effect, a drift and chance look alike
  | "one side first" // one side was driven before the other, and nothing bounds a heat soak: nothing is claimed
  | "one side first, bounded" // the same, with a stated soak, settled runs or the claim of no drift
  | "not settled" // some runs began with temperatures still moving
  | "order costs" // the order of the runs makes a drift look much like the effect: ABBA would narrow the interval
  | "readings alike" // one value in all readings: their step cannot be found, and must be stated
  | "step found" // the readings fall on steps as large as their scatter; the step found was used
  | "stated repeatability" // the interval rests on what the caller stated, not on these runs
  | "no interval" // nothing judges the effect: more runs, or a stated repeatability
  | "over an hour" // the runs span more than an hour
  | "courses differ" // not all on the same road in the same direction
  | "boosted" // pressures are compared as they stand, not in common air
  | "air differs" // common air changes the drops by more than 3 % between runs
  | "points left out" // some points are not covered by both sides
  | "samples missing"; // some runs miss some points

/** What is compared at one engine speed. */
export interface PointEffect {
  /** [rev/s] */
  readonly speed: RotationalSpeed;
  /** level of the before side at the middle of the trial [Pa below outside, in common air] or [K over outside] */
  readonly before: number | null;
  /** after less before: rise of manifold pressure [Pa] or of intake temperature [K]; null when a side has no run here */
  readonly effect: number | null;
  /** the same with its interval; null when too few runs cover the point */
  readonly estimate: Estimate | null;
  /** runs that cover the point [1] */
  readonly runs: { readonly before: number; readonly after: number };
}

/** What one run read, in common air. */
export interface RunValues {
  readonly id: string;
  readonly side: TrialSide;
  /** [s] from the first run */
  readonly at: number;
  /** drop below outside [Pa] or temperature over outside [K] per point; null where the run does not cover it */
  readonly values: readonly (number | null)[];
}

/** A back-to-back trial, judged. Plain JSON-ready data. */
export interface TrialResult {
  readonly kind: "trial result";
  readonly quantity: TrialQuantity;
  /** Air that pressures were brought to. */
  readonly common: MoistAir;
  readonly runs: readonly RunValues[];
  /** Mean effect over the points used: rise of manifold pressure [Pa] or of intake temperature [K]. */
  readonly pooled: {
    readonly effect: number;
    readonly estimate: Estimate | null;
    /** mean level of the before side over the same points [Pa] or [K] */
    readonly before: number;
  };
  /** indices of the points in the pooled effect */
  readonly pooledPoints: readonly number[];
  readonly points: readonly PointEffect[];
  /** Steady change per hour of both sides alike [Pa/h] or [K/h]; null when not in the model. */
  readonly drift: Estimate | null;
  /** Standard deviation of a run about the model [Pa] or [K]; null when unknown. */
  readonly runSd: number | null;
  /** Where the uncertainty of the pooled effect comes from. */
  readonly source: UncertaintySource;
  /** Step of the readings that was used [Pa] or [K]; null when all readings are alike. */
  readonly step: number | null;
  /** Whether a difference is shown: the interval leaves out zero. "cannot tell" without an interval, or when one side came first. */
  readonly claim: "rise" | "fall" | "none" | "cannot tell";
  /** Smallest true difference [Pa] or [K] that this trial would have claimed with the stated power; null when unknown. */
  readonly detectable: number | null;
  readonly power: number;
  /** Variance of the effect over that of the best order of as many runs [1]: what the order of the runs cost. */
  readonly orderCost: number;
  /** names of the runs that began with temperatures still moving */
  readonly unsettled: readonly string[];
  /** Runs that would show the wanted difference; null when none was asked for, or more than 100 a side would be needed. */
  readonly needed: {
    readonly wanted: number;
    readonly perSide: number | null;
    readonly order: readonly TrialSide[];
    /** probability that such a trial shows the wanted difference [1] */
    readonly power: number | null;
  } | null;
  readonly flags: readonly TrialFlag[];
}

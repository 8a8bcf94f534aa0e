import type { MoistAir } from "../../air/index.js";
import type { Uncertain } from "../../sensor/index.js";
import type { Area, MassFlow, PressureDifference } from "../../units/index.js";
import type { Estimate } from "../estimate.js";
import type { ElementLoss, LossLaw } from "./loss.js";

/** A gauge that read some of the stations, with what its maker (or a check against another) says of its errors. */
export interface TractGauge {
  /** Names of the elements whose end it read. */
  readonly elements: readonly string[];
  /** Standard uncertainty of its zero [Pa]: the same error in every reading. */
  readonly zero: PressureDifference;
  /** Standard uncertainty of its scale [1]: 0.01 is one percent of reading. */
  readonly gain: number;
}

export interface RestrictionOptions {
  /** Probability that the intervals hold the truth [1]; 0.95 when not given. */
  readonly confidence?: number;
  /** Flow at which shares are stated [kg/s]; the highest flow measured when not given. */
  readonly peak?: MassFlow;
  /** Loss law of an element; "linear and square" when not given. "square" leaves the viscous part out: for few points. */
  readonly law?: LossLaw;
  /**
   * What counts as one observation. "points": the scatter of one point has nothing to do with the next one's.
   * "pulls": a whole pull lies high or low together (gusts, another day), so pulls are compared, at least two of them.
   * "points" when not given; the result is flagged when the pulls then differ by more than their points explain.
   */
  readonly independent?: "points" | "pulls";
  /** Gauge zeros and scales. Without them the intervals hold for the scatter of the readings only, and a flag says so. */
  readonly gauges?: readonly TractGauge[];
  /**
   * How the drops came about: "from outside", each read against the outside air; "part by part", each part's own drop read
   * and added up, so that a gauge's zero adds up too. "from outside" when not given.
   */
  readonly measured?: "from outside" | "part by part";
  /** Smallest step of the gauge's display or of the log [Pa]; found from the readings when not given. */
  readonly resolution?: PressureDifference;
  /** Standard uncertainty of one reading [Pa], taken as known instead of judged from the scatter: for few points. */
  readonly readingUncertainty?: PressureDifference;
}

export type ElementFlag =
  | "not distinguishable from zero" // the interval of its drop reaches zero
  | "at bound" // a coefficient would be negative and is held at zero
  | "fast"; // Mach number over 0.3 at peak: the loss law is strained

/** What one element takes. */
export interface ElementResult {
  readonly name: string;
  readonly role?: "meter housing";
  /** Open area that K and the Mach number refer to [m^2]; null when none was given. */
  readonly area: Uncertain<Area> | null;
  /** Coefficients of the law, both >= 0. */
  readonly loss: ElementLoss;
  /** a of dp = a m (rho0/rho) + b m^2/rho [Pa s/kg]; null under the law "square" */
  readonly linear: Estimate | null;
  /** b [1/m^4] */
  readonly square: Estimate;
  /** Drop of total pressure at peak [Pa]. */
  readonly drop: Estimate;
  /** Share of the whole tract's drop at peak [1]. */
  readonly share: Estimate;
  /** Loss coefficient on the dynamic head in the element's own area at peak [1]; null without an area. */
  readonly k: Estimate | null;
  /** Mean velocity in the element's area at peak [m/s]; null without an area. */
  readonly velocity: number | null;
  /** Mach number in the element's area at peak [1]; null without an area. */
  readonly mach: number | null;
  /** Drop at peak over that of air which would keep the outside density [1]: the compressible correction. */
  readonly thinning: number;
  readonly flags: readonly ElementFlag[];
}

export type RestrictionFlag =
  | "few points" // fewer than four degrees of freedom: the intervals are wide for want of points
  | "peak beyond data" // the peak flow is above the highest flow measured
  | "pulls differ" // the pulls differ by more than their points' scatter explains: use independent "pulls"
  | "gauge step decides" // the gauge's step, not noise, decides the intervals
  | "gauges unstated" // no gauge errors were given: the intervals hold for the scatter only
  | "scatter above stated" // readings scatter by more than the stated uncertainty of a reading
  | "total not distinguishable from zero";

/** Where the pressure goes. Plain JSON-ready data. */
export interface RestrictionBudget {
  readonly kind: "restriction budget";
  readonly air: MoistAir;
  /** Density of the outside air [kg/m^3]. */
  readonly density: number;
  /** [kg/s] */
  readonly peak: MassFlow;
  readonly elements: readonly ElementResult[];
  /** Drop of total pressure from the outside air to the last station at peak [Pa]. */
  readonly total: Estimate;
  /** Root mean square of what the law leaves at each station [Pa]; null where nothing is left to judge by. */
  readonly residual: readonly (number | null)[];
  /**
   * What was read, as drops of total pressure from the outside air to the end of each element [Pa]: the stream's own head is
   * taken out at static tappings. One row per point; null where a station was not read.
   */
  readonly readings: {
    /** [kg/s] */
    readonly flow: readonly number[];
    readonly drops: readonly (readonly (number | null)[])[];
  };
  /** points used [1] */
  readonly points: number;
  /** lowest flow measured [kg/s] */
  readonly flowFrom: number;
  /** highest flow measured [kg/s] */
  readonly flowTo: number;
  readonly confidence: number;
  readonly flags: readonly RestrictionFlag[];
}

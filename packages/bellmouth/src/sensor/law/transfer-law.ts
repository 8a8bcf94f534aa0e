import type { FitStatus, Rows } from "../../fit/index.js";
import type { LawCurve } from "./law-curve.js";

/** One point that a law is fitted to. */
export interface LawPoint {
  /** [Hz] or [V], > 0 */
  readonly signal: number;
  /** [kg/s], > 0 (a fit in log flow cannot hold zero). Any other flow or speed unit scales the law alike. */
  readonly flow: number;
  /** relative standard uncertainty of the flow [1], > 0; give it for all points or for none */
  readonly u?: number;
}

export interface LawResidual {
  readonly signal: number;
  readonly flow: number;
  /** ln(flow) - ln(law) [1] */
  readonly log: number;
  /** 100 (flow / law - 1) [%] */
  readonly percent: number;
  /** weight that the robust fit left to the point; 1 in a plain fit [1] */
  readonly weight: number;
  /** ln(flow) minus ln(law fitted without this point) [1] */
  readonly leftOut: number;
  /** residual over its own standard deviation, judged without this point [1] */
  readonly score: number;
  /** the score is beyond what chance gives once in a hundred such tables */
  readonly outlier: boolean;
}

/** Signal interval; `to: null` has no end. */
export interface SignalRange {
  readonly from: number;
  readonly to: number | null;
}

/** A transfer law with everything needed to judge and to evaluate it: plain JSON-ready data. */
export interface TransferLaw {
  readonly kind: "transfer law";
  readonly curve: LawCurve;
  readonly status: FitStatus;
  /** names of the parameters, in the order of the covariance */
  readonly names: readonly string[];
  readonly covariance: Rows;
  /** signals that the points cover [Hz] or [V] */
  readonly range: { readonly from: number; readonly to: number };
  /** flows of the law at the ends of the range [kg/s] */
  readonly flows: { readonly from: number; readonly to: number };
  /** signals around the range over which the law rises; it is not evaluated elsewhere */
  readonly rising: SignalRange;
  readonly residuals: readonly LawResidual[];
  /** root mean square of the log residuals, recomputed from the returned parameters [1] */
  readonly rms: number;
  /** root mean square of the left-out residuals, weighted as a robust fit weighs the points [1] */
  readonly leaveOneOutRms: number;
  /** residual standard deviation of ln(flow), with degrees of freedom taken off [1] */
  readonly scatter: number;
  readonly n: number;
  readonly degreesOfFreedom: number;
  /** other laws that fit about as well; their disagreement is part of the uncertainty */
  readonly rivals: readonly LawCurve[];
  /**
   * Relative standard uncertainty gained per unit of ln(flow) past the last point, above and below the range [1].
   * Found by hiding end points and predicting them, never less than the stated floor.
   */
  readonly growth: { readonly above: number; readonly below: number };
}

/**
 * Growth of the relative standard uncertainty [1 per unit of ln(flow)] past the points: assumed when no end points were
 * hidden to find it, and its floor when they were. Larger below than above: towards idle, natural convection and
 * conduction into the holder take over from what the law describes. Chosen on the open hot-wire calibration named in
 * tests/conformance/transfer-law-real.test.ts, whose lowest third misses a law fitted to the rest by 0.16 a unit.
 */
export const GROWTH_FLOOR = { above: 0.05, below: 0.15 } as const;

import type { Rows } from "../../fit/index.js";
import { type ElementLaw, elementTemperature } from "./element-law.js";

/** One point of an element's calibration. */
export interface ElementPoint {
  /** [ohm], > 0 */
  readonly resistance: number;
  /** [K], > 0 */
  readonly temperature: number;
}

export interface ElementResidual extends ElementPoint {
  /** temperature given less temperature by the law [K] */
  readonly kelvin: number;
  /** residual over its own standard deviation, judged without this point [1]; 0 where too few points are left */
  readonly score: number;
  /** beyond what chance gives once in a hundred such tables: a misprint or a slipped reading */
  readonly outlier: boolean;
}

/** An element's fitted law: plain JSON-ready data. */
export interface ThermistorFit {
  readonly kind: "thermistor fit";
  readonly law: Exclude<ElementLaw, { readonly law: "platinum" }>;
  /** Covariance of the coefficients of 1/T over the powers of L [1/K^2]; null without degrees of freedom. */
  readonly covariance: Rows | null;
  /** powers of L = ln(R / reference) that the coefficients belong to */
  readonly powers: readonly number[];
  /** [ohm] */
  readonly reference: number;
  readonly residuals: readonly ElementResidual[];
  /** root mean square of the residuals [K], recomputed from the returned law */
  readonly rms: number;
  /** largest residual [K] */
  readonly worst: number;
  /** residual standard deviation [K]; null without degrees of freedom */
  readonly sd: number | null;
  readonly n: number;
  readonly degreesOfFreedom: number;
  /** temperatures that the points cover [K] */
  readonly range: { readonly from: number; readonly to: number };
}

/**
 * Standard uncertainty of a fitted law's temperature at a resistance [K]: the covariance of the coefficients and the
 * scatter of the points. Infinite is never given: without degrees of freedom the result is null, unknown.
 *
 * @param fit        a fit
 * @param resistance [ohm]
 * @throws as `elementTemperature`
 */
export function fitUncertainty(fit: ThermistorFit, resistance: number): number | null {
  const temperature = elementTemperature(fit.law, resistance);
  if (fit.covariance === null || fit.sd === null) return null;
  const l = Math.log(resistance / fit.reference);
  let variance = 0;
  fit.powers.forEach((p, i) => {
    fit.powers.forEach((q, j) => {
      variance += l ** p * l ** q * (fit.covariance?.[i]?.[j] as number);
    });
  });
  return Math.hypot(temperature ** 2 * Math.sqrt(Math.max(0, variance)), fit.sd);
}

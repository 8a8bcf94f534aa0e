import type { DuctSection } from "../housing.js";
import { developedFactor, type Span } from "./factor.js";
import { turbulentRatio } from "./ratio.js";
import { laminarFactor, turbulentFactor } from "./shape.js";

// Ratio: residuals of the fit, 1.0 % rms laminar and 0.7 % turbulent. Shape: 1 % rms of the 1911 and Superpipe profiles
// between r = 0 and 0.7 about the power law. In quadrature:
const PIPE_LAW = 0.014;
// A square duct's laminar centre velocity is 2.096 times its mean against the pipe's 2 (R. K. Shah, A. L. London,
// Laminar Flow Forced Convection in Ducts, 1978), and flatter ducts go as far the other way.
const NOT_ROUND = 0.05;
// Another inlet changes over elsewhere: anywhere from about 2,000 (rough entry) to 4,000 (calm entry) is met in pipes,
// common practice without a single source. A logistic about 2,500 leaves 14 % below 2,000 and 2 % above 4,000.
const OTHER_INLET = Math.log(2500);
const OTHER_INLET_WIDTH = 0.12;

/** Standard uncertainty of the logarithm of a profile factor [1], by where it comes from. */
export interface ProfileScatter {
  /** of the pipe law itself: the same error in every housing at the same Reynolds number */
  readonly law: number;
  /** of whether this housing's flow is laminar or turbulent at all, and of a duct that is no pipe: each has its own */
  readonly own: number;
}

/** As `profileScatter`, at ln Re = x and unchecked. */
export function scatterAt(
  x: number,
  span: Span,
  development: number,
  shape: DuctSection["shape"],
): ProfileScatter {
  const { from, to } = span;
  const laminar = laminarFactor(from, to);
  const developed = developedFactor(x, from, to, laminar);
  const mixed = 1 + development * (developed - 1);
  const weight = development / mixed;
  const chance = 1 / (1 + Math.exp((OTHER_INLET - x) / OTHER_INLET_WIDTH));
  const jump = Math.abs(laminar - turbulentFactor(from, to, turbulentRatio(x)));
  // Laminar or turbulent with that chance: the standard deviation of a two-valued variable.
  const transition = weight * jump * Math.sqrt(chance * (1 - chance));
  return {
    law: weight * developed * PIPE_LAW,
    own: shape === "round" ? transition : Math.hypot(transition, weight * developed * NOT_ROUND),
  };
}

/**
 * Standard uncertainty of ln kappa [1], the pipe law apart from what each housing has of its own. Large in
 * transition (17 % on the axis at Re 2,500 when developed), and none at all for a flat profile, whose uncertainty is
 * that of the development.
 *
 * @param reynolds    [1] >= 0
 * @param span        relative radii [1], 0 <= from <= to <= 1
 * @param development 0 flat, 1 developed [1]
 * @param shape       of the duct: the law is a pipe's
 */
export const profileScatter = (
  reynolds: number,
  span: Span,
  development: number,
  shape: DuctSection["shape"],
): ProfileScatter => scatterAt(Math.log(reynolds), span, development, shape);

import { requireNumber } from "../../fault/index.js";
import { turbulentRatio, turbulentShare } from "./ratio.js";
import { laminarFactor, turbulentFactor } from "./shape.js";

/** Span of relative radius r/R [1] that an element covers: 0 the axis, 1 the wall; from = to for a point. */
export interface Span {
  readonly from: number;
  readonly to: number;
}

/** Developed local over mean velocity [1] at ln Re = x, unchecked: the inner loop of everything that rescales. */
export function developedFactor(
  x: number,
  from: number,
  to: number,
  laminar = laminarFactor(from, to),
): number {
  const share = turbulentShare(x);
  if (share < 1e-17) return laminar;
  return (1 - share) * laminar + share * turbulentFactor(from, to, turbulentRatio(x));
}

/**
 * Profile factor kappa [1]: the velocity at the element over the mean velocity of the duct.
 * Flat profile 1; developed: the pipe fit of `meanToCentreRatio` on the axis, off it the parabola (laminar), the power
 * law with that same ratio (turbulent), and between them the mix that keeps both the ratio and the mean; averaged
 * along the radius over the span. `development` mixes flat and developed.
 *
 * @param reynolds    [1] >= 0
 * @param span        relative radii [1], 0 <= from <= to <= 1
 * @param development 0 flat, 1 developed [1]
 * @throws `E_DOMAIN` out of range, or NaN
 * @validity A round pipe, within 3 % for r from 0 to 0.7 (1911 air and Superpipe profiles). Ducts of other shapes are
 *   taken by the hydraulic diameter; `profileScatter` widens for them.
 * @example profileFactor(1000, { from: 0, to: 0 }, 1) // ≈ 2
 * @example profileFactor(1e5, { from: 0, to: 0 }, 1) // ≈ 1.2074
 * @example profileFactor(1e5, { from: 0, to: 0 }, 0.5) // ≈ 1.1037
 */
export function profileFactor(reynolds: number, span: Span, development: number): number {
  requireNumber(reynolds, "reynolds", "1", { from: 0 });
  requireNumber(span.from, "span.from", "1", { from: 0, to: 1 });
  requireNumber(span.to, "span.to", "1", { from: span.from, to: 1 });
  requireNumber(development, "development", "1", { from: 0, to: 1 });
  return 1 + development * (developedFactor(Math.log(reynolds), span.from, span.to) - 1);
}

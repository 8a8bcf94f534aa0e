import { requireNumber } from "../../fault/index.js";
import { type EntryFlow, entryParts } from "./entry.js";
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
 * Profile factor kappa [1]: the velocity at the element over the mean velocity of the duct, averaged along the radius
 * over the span.
 *
 * With `entry` the flow came in evenly a short way upstream: a uniform core inside a growing wall layer, 6 to 22 % faster
 * than the mean at Re 2,500 and 0.7 to 4 % at 2e5 from 0.3 to 3 diameters, with no change at Re 2,300. Without it the pipe
 * is long: the fit of `meanToCentreRatio` on the axis, off it the parabola (laminar), the power law with that same
 * ratio (turbulent), and between them the mix that keeps both the ratio and the mean.
 *
 * @param reynolds [1] >= 0
 * @param span     relative radii [1], 0 <= from <= to <= 1
 * @param entry    where the flow was even; left out for a long pipe
 * @throws `E_DOMAIN` out of range, or NaN
 * @validity Entry: Re 500 to 3e5, distance 0.2 to 10, r/R to 0.7; within 0.3 % of computed laminar entry (r/R to 0.7) and of a
 *   mixing-length layer (r/R to 0.5, distance to 5); a layer that turns turbulent late is missed by up to 1.6 % at 5.
 *   Long pipe: within 3 % of measured profiles for r/R to 0.7 at Re 4e4 and more (1911 air, Superpipe). From Re 2,100 to
 *   4,100 and r/R from 0.3 to 0.7 the 1951 air profiles lie 5 to 6 % off on average and 11 % at worst; `profileScatter`
 *   allows for it. Ducts of other shapes are taken by the hydraulic diameter; `profileScatter` widens for them.
 * @source Entry: closed form fitted to the boundary-layer equations of laminar entry and to turbulent-layer models, see
 *   docs/decisions/0010-entry-flow.md. Long pipe: see `meanToCentreRatio`.
 * @example profileFactor(1000, { from: 0, to: 0 }) // ≈ 2
 * @example profileFactor(1e5, { from: 0, to: 0 }) // ≈ 1.2074
 * @example profileFactor(3000, { from: 0, to: 0.3 }, { distance: 1 }) // ≈ 1.1174
 */
export function profileFactor(reynolds: number, span: Span, entry?: EntryFlow): number {
  requireNumber(reynolds, "reynolds", "1", { from: 0 });
  requireSpan(span);
  const x = Math.log(reynolds);
  if (entry === undefined) return developedFactor(x, span.from, span.to);
  return entryParts(x, span.from, span.to, requireEntry(entry)).factor;
}

export function requireSpan(span: Span): void {
  requireNumber(span.from, "span.from", "1", { from: 0, to: 1 });
  requireNumber(span.to, "span.to", "1", { from: span.from, to: 1 });
}

export function requireEntry(entry: EntryFlow): EntryFlow {
  requireNumber(entry.distance, "entry.distance", "1", { from: 0 });
  requireNumber(entry.layerAhead ?? 0, "entry.layerAhead", "1", { from: 0 });
  requireNumber(entry.transition ?? 1, "entry.transition", "1", { over: 0 });
  requireNumber(entry.plane ?? 0, "entry.plane", "1", { from: 0, under: 1 });
  return entry;
}

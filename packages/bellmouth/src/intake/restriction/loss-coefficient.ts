import { requireNumber } from "../../fault/index.js";
import { type Area, squareMetres } from "../../units/index.js";

/**
 * The coefficient b of dp = b m^2/rho [1/m^4] that a handbook's K stands for: K rho u^2/2 in the area K refers to.
 *
 * @param k    loss coefficient on the dynamic head in `area` [1], >= 0
 * @param area the handbook's reference section [m^2], > 0
 * @throws `E_DOMAIN`
 * @example
 * squareOfLoss(0.5, cm2(43)) // ≈ 13520.8
 */
export function squareOfLoss(k: number, area: Area): number {
  requireNumber(k, "k", "1", { from: 0 });
  requireNumber(area, "area", "m^2", { over: 0 });
  return k / (2 * area * area);
}

/**
 * The same loss as a coefficient on another section's dynamic head: K (A/A_ref)^2. Handbooks refer a step to its small
 * side, a screen to the approach; a budget refers all to the element's own area.
 *
 * @param k  loss coefficient on the dynamic head in `from` [1], >= 0
 * @param from section that k refers to [m^2]
 * @param to   section wanted [m^2]
 * @throws `E_DOMAIN`
 * @example
 * lossOnSection(0.25, cm2(50), cm2(100)) // ≈ 1
 */
export function lossOnSection(k: number, from: Area, to: Area): number {
  requireNumber(k, "k", "1", { from: 0 });
  requireNumber(from, "from", "m^2", { over: 0 });
  requireNumber(to, "to", "m^2", { over: 0 });
  return k * (to / from) ** 2;
}

/**
 * Loss coefficient [1] of a sudden widening, on the dynamic head of the small side.
 *
 * @param small area before the step [m^2]
 * @param large area after it [m^2], >= small
 * @throws `E_DOMAIN`
 * @source J.-C. de Borda (1766), L. Carnot (1803): (1 - A1/A2)^2; Rennels and Hudson, Pipe Flow (2012), chapter 11
 * @example
 * suddenExpansion(cm2(25), cm2(50)) // ≈ 0.25
 */
export function suddenExpansion(small: Area, large: Area): number {
  requireNumber(small, "small", "m^2", { over: 0 });
  requireNumber(large, "large", "m^2", { from: small });
  return (1 - small / large) ** 2;
}

/**
 * Loss coefficient [1] of a sudden narrowing, on the dynamic head of the small side.
 *
 * @param large area before the step [m^2], >= small
 * @param small area after it [m^2]
 * @throws `E_DOMAIN`
 * @source Crane Co., Technical Paper 410: 0.5 (1 - A1/A2); Rennels and Hudson find up to a third more for a small step
 * @example
 * suddenContraction(cm2(100), cm2(25)) // ≈ 0.375
 */
export function suddenContraction(large: Area, small: Area): number {
  requireNumber(small, "small", "m^2", { over: 0 });
  requireNumber(large, "large", "m^2", { from: small });
  return 0.5 * (1 - small / large);
}

/**
 * Extra loss b [1/m^4] that a housing of one area makes between ducts of others: a step at each end. A larger housing
 * between ducts that stay as they are does not gain all that its own area promises.
 *
 * @param housing area of the housing [m^2]
 * @param ducts   areas of the duct before and after it [m^2]
 * @throws `E_DOMAIN`
 */
export function stepLosses(housing: Area, ducts: { readonly before: Area; readonly after: Area }): number {
  const step = (from: Area, to: Area): number => {
    const small = squareMetres(Math.min(from, to));
    return from > to
      ? squareOfLoss(suddenContraction(from, to), small)
      : squareOfLoss(suddenExpansion(from, to), small);
  };
  return step(ducts.before, housing) + step(housing, ducts.after);
}

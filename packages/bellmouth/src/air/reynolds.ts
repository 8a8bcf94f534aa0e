import { requireNumber } from "../fault/index.js";
import type { Area, Length, MassFlow, Viscosity } from "../units/index.js";

/** Flow through a duct of any section. */
export interface DuctFlow {
  /** [kg/s] */
  readonly massFlow: MassFlow;
  /** Four times the open area over the wetted perimeter [m]; the bore of a round duct. */
  readonly hydraulicDiameter: Length;
  /** Open area [m^2]. */
  readonly area: Area;
  /** [Pa s] */
  readonly viscosity: Viscosity;
}

/**
 * Reynolds number [1] of a duct: `m Dh / (A mu)`. Needs no density, because mass flow carries it.
 *
 * @throws E_DOMAIN when flow is negative, or a size or the viscosity is not positive
 * @example reynolds({ massFlow: gramsPerSecond(100), hydraulicDiameter: mm(70), area: mm2(3848.45), viscosity: pascalSeconds(1.82e-5) }) // ≈ 99940
 */
export function reynolds(flow: DuctFlow): number {
  const m = requireNumber(flow.massFlow, "flow.massFlow", "kg/s", { from: 0 });
  const d = requireNumber(flow.hydraulicDiameter, "flow.hydraulicDiameter", "m", { over: 0 });
  const a = requireNumber(flow.area, "flow.area", "m^2", { over: 0 });
  const mu = requireNumber(flow.viscosity, "flow.viscosity", "Pa s", { over: 0 });
  return (m * d) / (a * mu);
}

/**
 * Reynolds number [1] of a round pipe: `4 m / (pi mu D)`.
 *
 * @throws E_DOMAIN as {@link reynolds}
 * @example reynoldsRound(gramsPerSecond(100), mm(70), pascalSeconds(1.82e-5)) // ≈ 99940
 */
export function reynoldsRound(massFlow: MassFlow, diameter: Length, viscosity: Viscosity): number {
  const m = requireNumber(massFlow, "massFlow", "kg/s", { from: 0 });
  const d = requireNumber(diameter, "diameter", "m", { over: 0 });
  const mu = requireNumber(viscosity, "viscosity", "Pa s", { over: 0 });
  return (4 * m) / (Math.PI * mu * d);
}

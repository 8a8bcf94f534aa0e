/** Specific gas constant of dry air [J/(kg K)]. @source U.S. Standard Atmosphere 1976. */
export const GAS_CONSTANT = 287.053;
/** Ratio of specific heats of air [1]. */
export const GAMMA = 1.4;
const CRITICAL = (2 / (GAMMA + 1)) ** (GAMMA / (GAMMA - 1));
const CHOKED = Math.sqrt(GAMMA) * (2 / (GAMMA + 1)) ** ((GAMMA + 1) / (2 * (GAMMA - 1)));

/**
 * Flow function of an ideal nozzle, m sqrt(R T0) / (A p0) [1], of the pressure ratio downstream over upstream [1];
 * 0 without a pressure drop, constant once choked.
 *
 * @source Isentropic flow of an ideal gas, for example B. S. Massey, Mechanics of Fluids, compressible flow
 *   through nozzles; the tests hold it against isentropic tables.
 */
export function flowFunction(ratio: number): number {
  if (ratio >= 1) return 0;
  if (ratio <= CRITICAL) return CHOKED;
  const r = Math.max(ratio, 0) ** (1 / GAMMA);
  return Math.sqrt(((2 * GAMMA) / (GAMMA - 1)) * r * r * (1 - ratio / r));
}

/**
 * Mass flow through an opening [kg/s]; never backwards.
 *
 * @param area effective area, discharge coefficient included [m^2]
 * @param upstream total pressure upstream [Pa]
 * @param downstream static pressure downstream [Pa]
 * @param temperature total temperature upstream [K]
 */
export function orificeFlow(area: number, upstream: number, downstream: number, temperature: number): number {
  return ((area * upstream) / Math.sqrt(GAS_CONSTANT * temperature)) * flowFunction(downstream / upstream);
}

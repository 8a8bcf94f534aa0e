import { requireNumber } from "../fault/index.js";
import { type Density, kilogramsPerCubicMetre, ZERO_CELSIUS_K } from "../units/index.js";
import type { MoistAir } from "./moist-air.js";
import { saturationVapourPressureCipm2007 } from "./saturation.js";

/** Molar gas constant as the equation was published with [J/(mol K)] (CODATA 2006; today's shifts density by 1.1e-6). */
const R = 8.314472;
/** Molar mass of water [kg/mol]. */
const WATER = 18.01528e-3;

export interface Cipm2007Options {
  /** Mole fraction of carbon dioxide [1]; 0.0004, the equation's own reference value, when not given. */
  readonly carbonDioxide?: number;
}

/**
 * Density of humid air [kg/m^3] by the equation that national laboratories weigh by. Relative uncertainty of the
 * equation itself 2.2e-5 inside 15 to 27 °C and 600 to 1100 hPa; accepted here from -10 to 50 °C, where its
 * virial terms still behave. Use {@link airDensity} outside.
 *
 * @throws E_DOMAIN outside 263.15 to 323.15 K, 300 to 1200 hPa or 0 to 1 humidity, or NaN
 * @source A. Picard, R. S. Davis, M. Gläser, K. Fujii, "Revised formula for the density of moist air (CIPM-2007)",
 * Metrologia 45 (2008) 149-155.
 * @example airDensityCipm2007({ pressure: pascals(101325), temperature: celsius(20), relativeHumidity: 0.5 }) // ≈ 1.199314
 */
export function airDensityCipm2007(state: MoistAir, options: Cipm2007Options = {}): Density {
  const p = requireNumber(state.pressure, "state.pressure", "Pa", { from: 30_000, to: 120_000 });
  const T = requireNumber(state.temperature, "state.temperature", "K", { from: 263.15, to: 323.15 });
  const h = requireNumber(state.relativeHumidity, "state.relativeHumidity", "1", { from: 0, to: 1 });
  const carbonDioxide = requireNumber(options.carbonDioxide ?? 0.0004, "carbonDioxide", "1", {
    from: 0,
    to: 0.01,
  });
  const t = T - ZERO_CELSIUS_K;
  const enhancement = 1.00062 + 3.14e-8 * p + 5.6e-7 * t * t;
  const x = (h * enhancement * saturationVapourPressureCipm2007(state.temperature)) / p;
  const compressibility =
    1 -
    (p / T) *
      (1.58123e-6 -
        2.9331e-8 * t +
        1.1043e-10 * t * t +
        (5.707e-6 - 2.051e-8 * t) * x +
        (1.9898e-4 - 2.376e-6 * t) * x * x) +
    (p / T) ** 2 * (1.83e-11 - 0.765e-8 * x * x);
  const dryMolarMass = (28.96546 + 12.011 * (carbonDioxide - 0.0004)) * 1e-3;
  return kilogramsPerCubicMetre(
    ((p * dryMolarMass) / (compressibility * R * T)) * (1 - x * (1 - WATER / dryMolarMass)),
  );
}

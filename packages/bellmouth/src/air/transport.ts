import { requireNumber } from "../fault/index.js";
import {
  type Conductivity,
  type Pressure,
  pascalSeconds,
  pascals,
  type Temperature,
  type Viscosity,
  wattsPerMetreKelvin,
} from "../units/index.js";
import { STANDARD_PRESSURE_PA } from "./gas-constants.js";

// Lemmon–Jacobsen rather than Sutherland: it is fitted to the best measurements, while every form of Sutherland's
// law runs 0.2 to 0.7 % low at intake temperatures. It costs one more exponential.
const MOLAR_MASS = 28.9586; // g/mol
const COLLISION_DIAMETER = 0.36; // nm
const ENERGY_OVER_K = 103.3; // K
const T_CRITICAL = 132.6312; // K
const RHO_CRITICAL = 10.4477; // mol/dm3
const R = 8.314462618; // J/(mol K)

/** Rows of a residual part: N, t, d, l of N tau^t delta^d exp(-delta^l); l = 0 means no exponential. */
type Term = readonly [N: number, t: number, d: number, l: number];
const VISCOSITY_TERMS: readonly Term[] = [
  [10.72, 0.2, 1, 0],
  [1.122, 0.05, 4, 0],
  [0.002019, 2.4, 9, 0],
  [-8.876, 0.6, 1, 1],
  [-0.02916, 3.6, 8, 1],
];
const CONDUCTIVITY_TERMS: readonly Term[] = [
  [8.743, 0.1, 1, 0],
  [14.76, 0, 2, 0],
  [-16.62, 0.5, 3, 2],
  [3.793, 2.7, 7, 2],
  [-6.142, 0.3, 7, 2],
  [-0.3778, 1.3, 11, 2],
];

function residual(terms: readonly Term[], T: number, molarDensity: number): number {
  const tau = T_CRITICAL / T;
  const delta = molarDensity / RHO_CRITICAL;
  let sum = 0;
  for (const [N, t, d, l] of terms) {
    sum += N * tau ** t * delta ** d * (l === 0 ? 1 : Math.exp(-(delta ** l)));
  }
  return sum;
}

/** Viscosity of air at no density [uPa s]. */
function diluteViscosity(T: number): number {
  const x = Math.log(T / ENERGY_OVER_K);
  const omega = Math.exp(0.431 + x * (-0.4623 + x * (0.08406 + x * (0.005341 - x * 0.00331))));
  return (0.0266958 * Math.sqrt(MOLAR_MASS * T)) / (COLLISION_DIAMETER ** 2 * omega);
}

const requireT = (T: number): number => requireNumber(T, "temperature", "K", { from: 100, to: 2000 });
const requireP = (p: number): number => requireNumber(p, "pressure", "Pa", { from: 0, to: 1e6 });

/** Ideal-gas molar density [mol/dm3]: the residual part is under 0.3 % below 3 bar, so real-gas density is not needed. */
const molarDensity = (T: number, p: number): number => p / (R * T) / 1000;

/**
 * Viscosity of air [Pa s] at a molar density: the whole correlation. {@link airViscosity} is what most callers want.
 *
 * @param temperature  [K]
 * @param molarDensity [mol/m^3]; 0 is the dilute gas
 * @throws E_DOMAIN outside 100 to 2000 K or 0 to 20,000 mol/m^3, or NaN
 * @source E. W. Lemmon, R. T Jacobsen, Int. J. Thermophysics 25 (2004) 21-69.
 */
export function airViscosityAtDensity(temperature: Temperature, molarDensity: number): Viscosity {
  const T = requireT(temperature);
  const rho = requireNumber(molarDensity, "molarDensity", "mol/m^3", { from: 0, to: 20_000 }) / 1000;
  return pascalSeconds((diluteViscosity(T) + residual(VISCOSITY_TERMS, T, rho)) * 1e-6);
}

/**
 * Thermal conductivity of air [W/(m K)] at a molar density, without the critical enhancement (which matters only
 * near 133 K).
 *
 * @param temperature  [K]
 * @param molarDensity [mol/m^3]; 0 is the dilute gas
 * @throws E_DOMAIN outside 100 to 2000 K or 0 to 20,000 mol/m^3, or NaN
 * @source E. W. Lemmon, R. T Jacobsen, Int. J. Thermophysics 25 (2004) 21-69.
 */
export function airConductivityAtDensity(temperature: Temperature, molarDensity: number): Conductivity {
  const T = requireT(temperature);
  const rho = requireNumber(molarDensity, "molarDensity", "mol/m^3", { from: 0, to: 20_000 }) / 1000;
  const tau = T_CRITICAL / T;
  const dilute = 1.308 * diluteViscosity(T) + 1.405 * tau ** -1.1 - 1.036 * tau ** -0.3;
  return wattsPerMetreKelvin((dilute + residual(CONDUCTIVITY_TERMS, T, rho)) * 1e-3);
}

/**
 * Viscosity of air [Pa s]. Pressure matters little (0.08 % per atmosphere); humidity is left out (saturated air at
 * 30 °C is about 1 % less viscous).
 *
 * @param temperature [K], 100 to 2000
 * @param pressure    absolute [Pa], 0 to 1e6; one standard atmosphere when not given
 * @throws E_DOMAIN out of range, or NaN
 * @source E. W. Lemmon, R. T Jacobsen, Int. J. Thermophysics 25 (2004) 21-69.
 * @example airViscosity(celsius(20)) // ≈ 1.82057e-5
 */
export function airViscosity(
  temperature: Temperature,
  pressure: Pressure = pascals(STANDARD_PRESSURE_PA),
): Viscosity {
  return airViscosityAtDensity(temperature, 1000 * molarDensity(requireT(temperature), requireP(pressure)));
}

/**
 * Thermal conductivity of air [W/(m K)].
 *
 * @param temperature [K], 100 to 2000
 * @param pressure    absolute [Pa], 0 to 1e6; one standard atmosphere when not given
 * @throws E_DOMAIN out of range, or NaN
 * @source E. W. Lemmon, R. T Jacobsen, Int. J. Thermophysics 25 (2004) 21-69.
 * @example airConductivity(celsius(20)) // ≈ 0.025874
 */
export function airConductivity(
  temperature: Temperature,
  pressure: Pressure = pascals(STANDARD_PRESSURE_PA),
): Conductivity {
  return airConductivityAtDensity(
    temperature,
    1000 * molarDensity(requireT(temperature), requireP(pressure)),
  );
}

/**
 * Viscosity of air [Pa s] by Sutherland's law with the constants of the standard atmosphere. Kept because standards
 * prescribe it; it runs up to 0.7 % below {@link airViscosity}.
 *
 * @param temperature [K], 100 to 2000
 * @throws E_DOMAIN out of range, or NaN
 * @source U.S. Standard Atmosphere 1976 and ISO 2533:1975: 1.458e-6 T^1.5/(T + 110.4).
 * @example airViscositySutherland(celsius(15)) // ≈ 1.78938e-5
 */
export function airViscositySutherland(temperature: Temperature): Viscosity {
  const T = requireT(temperature);
  return pascalSeconds((1.458e-6 * T ** 1.5) / (T + 110.4));
}

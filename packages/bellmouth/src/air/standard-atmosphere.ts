import { requireNumber } from "../fault/index.js";
import {
  type Conductivity,
  type Density,
  kelvins,
  kilogramsPerCubicMetre,
  type Length,
  metres,
  metresPerSecond,
  type Pressure,
  pascals,
  type Speed,
  STANDARD_GRAVITY,
  type Temperature,
  type Viscosity,
  wattsPerMetreKelvin,
} from "../units/index.js";
import { AIR_HEAT_CAPACITY_RATIO, DRY_AIR_GAS_CONSTANT, STANDARD_PRESSURE_PA } from "./gas-constants.js";
import { airViscositySutherland } from "./transport.js";

const SEA_LEVEL_K = 288.15;
const LAPSE_K_PER_M = 0.0065;
const EXPONENT = STANDARD_GRAVITY / (DRY_AIR_GAS_CONSTANT * LAPSE_K_PER_M);
/** Radius the standard takes for the earth [m]. */
const EARTH_M = 6_356_766;
/** The troposphere, and 2 km below the sea [m]: everywhere a road goes. */
const RANGE = { from: -2000, to: 11_000 };

/** Air of the standard day at one altitude. */
export interface StandardAir {
  /** [K] */
  readonly temperature: Temperature;
  /** [Pa] */
  readonly pressure: Pressure;
  /** [kg/m^3] */
  readonly density: Density;
  /** By the standard's own Sutherland law [Pa s]. */
  readonly viscosity: Viscosity;
  /** By the standard's own law [W/(m K)]. */
  readonly conductivity: Conductivity;
  /** [m/s] */
  readonly speedOfSound: Speed;
}

/**
 * Dry air of the standard day. The altitude is GEOPOTENTIAL; a map or satellite receiver gives geometric altitude,
 * which {@link geopotentialAltitude} converts (the two differ by 27 Pa at 5000 m).
 *
 * @param at geopotential altitude [m], -2000 to 11,000
 * @throws E_DOMAIN outside the troposphere, or NaN
 * @source U.S. Standard Atmosphere 1976; ISO 2533:1975.
 * @example standardAtmosphere({ geopotentialAltitude: metres(2000) }).pressure // ≈ 79495
 */
export function standardAtmosphere(at: { readonly geopotentialAltitude: Length }): StandardAir {
  const h = requireNumber(at.geopotentialAltitude, "geopotentialAltitude", "m", RANGE);
  const T = SEA_LEVEL_K - LAPSE_K_PER_M * h;
  const p = STANDARD_PRESSURE_PA * (T / SEA_LEVEL_K) ** EXPONENT;
  return {
    temperature: kelvins(T),
    pressure: pascals(p),
    density: kilogramsPerCubicMetre(p / (DRY_AIR_GAS_CONSTANT * T)),
    viscosity: airViscositySutherland(kelvins(T)),
    conductivity: wattsPerMetreKelvin((2.64638e-3 * T ** 1.5) / (T + 245.4 * 10 ** (-12 / T))),
    speedOfSound: metresPerSecond(Math.sqrt(AIR_HEAT_CAPACITY_RATIO * DRY_AIR_GAS_CONSTANT * T)),
  };
}

/**
 * Geopotential altitude [m] at which the standard day has this pressure.
 *
 * @param pressure absolute [Pa], 22,633 to 127,773
 * @throws E_DOMAIN outside the troposphere, or NaN
 * @source U.S. Standard Atmosphere 1976; ISO 2533:1975, troposphere, solved for the altitude.
 * @example pressureAltitude(kilopascals(79.495)) // ≈ 2000
 */
export function pressureAltitude(pressure: Pressure): Length {
  const p = requireNumber(pressure, "pressure", "Pa", { over: 0 });
  const h = (SEA_LEVEL_K / LAPSE_K_PER_M) * (1 - (p / STANDARD_PRESSURE_PA) ** (1 / EXPONENT));
  return metres(requireNumber(h, "pressureAltitude", "m", RANGE));
}

/**
 * Geopotential altitude [m] of a geometric one (height above mean sea level as a map gives it).
 *
 * @throws E_DOMAIN outside -2000 to 12,000 m, or NaN
 * @example geopotentialAltitude(metres(5000)) // ≈ 4996.07
 */
export function geopotentialAltitude(geometric: Length): Length {
  const z = requireNumber(geometric, "geometric", "m", { from: -2000, to: 12_000 });
  return metres((EARTH_M * z) / (EARTH_M + z));
}

/**
 * Geometric altitude [m] of a geopotential one.
 *
 * @throws E_DOMAIN outside -2001 to 11,978 m, or NaN
 * @example geometricAltitude(metres(4996.07)) // ≈ 5000
 */
export function geometricAltitude(geopotential: Length): Length {
  const h = requireNumber(geopotential, "geopotential", "m", { from: -2001, to: 11_978 });
  return metres((EARTH_M * h) / (EARTH_M - h));
}

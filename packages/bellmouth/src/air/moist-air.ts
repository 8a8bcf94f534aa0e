import { BellmouthError, requireNumber } from "../fault/index.js";
import {
  type Density,
  kilogramsPerCubicMetre,
  type Pressure,
  pascals,
  type Temperature,
} from "../units/index.js";
import { DRY_AIR_GAS_CONSTANT, WATER_VAPOUR_GAS_CONSTANT } from "./gas-constants.js";
import { saturationVapourPressure } from "./saturation.js";

/** State of humid air at rest. */
export interface MoistAir {
  /** Absolute pressure [Pa]. */
  readonly pressure: Pressure;
  /** [K] */
  readonly temperature: Temperature;
  /** Vapour pressure over saturation pressure [1], 0 to 1. Dry air is 0 and must be said. */
  readonly relativeHumidity: number;
}

/**
 * Partial pressure of the water vapour [Pa].
 *
 * @throws E_DOMAIN when a member of the state is out of range or the vapour would exceed the whole pressure
 * @example vapourPressure({ pressure: kilopascals(100), temperature: celsius(25), relativeHumidity: 0.5 }) // ≈ 1584.6
 */
export function vapourPressure(state: MoistAir): Pressure {
  requireNumber(state.pressure, "state.pressure", "Pa", { over: 0 });
  const humidity = requireNumber(state.relativeHumidity, "state.relativeHumidity", "1", { from: 0, to: 1 });
  // Dry air is welcome at temperatures for which saturation means nothing.
  if (humidity === 0) {
    requireNumber(state.temperature, "state.temperature", "K", { over: 0 });
    return pascals(0);
  }
  const vapour = humidity * saturationVapourPressure(state.temperature);
  if (!(vapour < state.pressure)) {
    throw new BellmouthError({
      code: "E_DOMAIN",
      message: "the water vapour alone would exceed the pressure of the air",
      found: `${vapour} Pa of vapour in ${state.pressure} Pa`,
      accepted: "a lower temperature or humidity, or a higher pressure",
      at: { path: "state.relativeHumidity" },
    });
  }
  return pascals(vapour);
}

/**
 * Partial pressure of the dry air [Pa]: the pressure that power-test standards correct with.
 *
 * @throws E_DOMAIN as {@link vapourPressure}
 * @example dryPressure({ pressure: kilopascals(100), temperature: celsius(25), relativeHumidity: 0.5 }) // ≈ 98415.4
 */
export function dryPressure(state: MoistAir): Pressure {
  return pascals(state.pressure - vapourPressure(state));
}

/**
 * Density of humid air [kg/m^3] as a mixture of two ideal gases. 0.02 to 0.06 % below the CIPM-2007 equation between
 * 15 and 27 °C, because real air is slightly denser than ideal; valid over every intake temperature and pressure.
 *
 * @throws E_DOMAIN as {@link vapourPressure}
 * @source Dalton's law; gas constants in gas-constants.ts.
 * @example airDensity({ pressure: pascals(101325), temperature: celsius(20), relativeHumidity: 0.5 }) // ≈ 1.1989
 */
export function airDensity(state: MoistAir): Density {
  const vapour = vapourPressure(state);
  return kilogramsPerCubicMetre(
    ((state.pressure - vapour) / DRY_AIR_GAS_CONSTANT + vapour / WATER_VAPOUR_GAS_CONSTANT) /
      state.temperature,
  );
}

/**
 * Specific gas constant of humid air [J/(kg K)]: `pressure / (density * temperature)` of the mixture.
 *
 * @throws E_DOMAIN as {@link vapourPressure}
 * @example gasConstant({ pressure: pascals(101325), temperature: celsius(20), relativeHumidity: 0.5 }) // ≈ 288.31
 */
export function gasConstant(state: MoistAir): number {
  return state.pressure / (airDensity(state) * state.temperature);
}

/**
 * Kilograms of water vapour per kilogram of dry air [1].
 *
 * @throws E_DOMAIN as {@link vapourPressure}
 * @example humidityRatio({ pressure: pascals(101325), temperature: celsius(20), relativeHumidity: 0.5 }) // ≈ 0.00726
 */
export function humidityRatio(state: MoistAir): number {
  const vapour = vapourPressure(state);
  return ((DRY_AIR_GAS_CONSTANT / WATER_VAPOUR_GAS_CONSTANT) * vapour) / (state.pressure - vapour);
}

/**
 * Relative humidity [1] of air that keeps its water content while pressure and temperature change: what the meter's
 * air has after outside air has warmed in the engine bay.
 *
 * @param state the air whose humidity is known
 * @param to    where it goes
 * @throws E_DOMAIN as {@link vapourPressure}, also when the air would be supersaturated at `to`
 */
export function humidityAfter(
  state: MoistAir,
  to: { readonly pressure: Pressure; readonly temperature: Temperature },
): number {
  requireNumber(to.pressure, "to.pressure", "Pa", { over: 0 });
  const share = vapourPressure(state) / state.pressure;
  if (share === 0) return 0;
  const humidity = (share * to.pressure) / saturationVapourPressure(to.temperature);
  return requireNumber(humidity, "relative humidity after the change", "1", { from: 0, to: 1 });
}

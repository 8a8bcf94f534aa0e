import { requireNumber } from "../../fault/index.js";
import type { Uncertain } from "../../sensor/index.js";
import { HORSEPOWER_W, type MassFlow, POUND_KG, type Power, watts } from "../../units/index.js";

/**
 * Brake-specific fuel consumption in SI, from grams per kilowatt-hour [kg/J].
 *
 * @param value [g/(kW h)]
 */
export const gramsPerKilowattHour = (value: number): number => value / 3.6e9;
/**
 * Brake-specific fuel consumption [g/(kW h)] from SI.
 *
 * @param value [kg/J]
 */
export const toGramsPerKilowattHour = (value: number): number => value * 3.6e9;
/**
 * Brake-specific fuel consumption in SI, from pounds per horsepower-hour [kg/J].
 *
 * @param value [lb/(hp h)]
 * @example
 * toGramsPerKilowattHour(poundsPerHorsepowerHour(0.5)) // ≈ 304.1387
 */
export const poundsPerHorsepowerHour = (value: number): number => (value * POUND_KG) / (HORSEPOWER_W * 3600);

/** What power is reckoned from. */
export interface AirflowPowerInput {
  /** [kg/s] */
  readonly airflow: Uncertain<MassFlow>;
  /** Air over fuel by mass, as metered [1]. */
  readonly airFuelRatio: Uncertain;
  /** Brake-specific fuel consumption [kg/J]; see `gramsPerKilowattHour`. */
  readonly bsfc: Uncertain;
}

/**
 * Brake power that an airflow is worth: P = m_air/(AFR bsfc), with its standard uncertainty [W]. Relative uncertainties
 * add in quadrature; the consumption's is usually the largest by far.
 *
 * @param input airflow [kg/s], air-fuel ratio [1], consumption [kg/J]
 * @throws `E_DOMAIN`
 * @source definition of brake-specific fuel consumption; J. B. Heywood, Internal Combustion Engine Fundamentals (1988), 2.6
 * @example
 * const input = {
 *   airflow: { value: gramsPerSecond(100), u: gramsPerSecond(2) },
 *   airFuelRatio: { value: 12.5, u: 0.2 },
 *   bsfc: { value: gramsPerKilowattHour(300), u: gramsPerKilowattHour(15) },
 * };
 * powerFromAirflow(input).value // ≈ 96000
 */
export function powerFromAirflow(input: AirflowPowerInput): Uncertain<Power> {
  const parts = [
    ["airflow", "kg/s", input.airflow],
    ["airFuelRatio", "1", input.airFuelRatio],
    ["bsfc", "kg/J", input.bsfc],
  ] as const;
  let relative = 0;
  for (const [name, unit, part] of parts) {
    requireNumber(part.value as number, `${name}.value`, unit, { over: 0 });
    requireNumber(part.u as number, `${name}.u`, unit, { from: 0 });
    relative += (part.u / part.value) ** 2;
  }
  // Between 20 and 2,000 g/(kW h): anything else is a consumption in another unit.
  requireNumber(input.bsfc.value, "bsfc.value", "kg/J", {
    from: gramsPerKilowattHour(20),
    to: gramsPerKilowattHour(2000),
  });
  const value = input.airflow.value / (input.airFuelRatio.value * input.bsfc.value);
  return { value: watts(value), u: watts(value * Math.sqrt(relative)) };
}

/**
 * Brake-specific fuel consumption [kg/J] of a measured power.
 *
 * @param airflow [kg/s]
 * @param airFuelRatio air over fuel by mass [1]
 * @param power brake power [W]
 * @throws `E_DOMAIN`
 */
export function specificConsumption(airflow: MassFlow, airFuelRatio: number, power: Power): number {
  requireNumber(airflow, "airflow", "kg/s", { over: 0 });
  requireNumber(airFuelRatio, "airFuelRatio", "1", { over: 0 });
  requireNumber(power, "power", "W", { over: 0 });
  return airflow / (airFuelRatio * power);
}

import { requireNumber } from "../../fault/index.js";
import type { Uncertain } from "../../sensor/index.js";
import { type MassFlow, type Power, type SpecificConsumption, watts } from "../../units/index.js";
import { powerFromAirflow } from "../demand/index.js";

/** What power is reckoned from, each with its standard uncertainty. */
export interface AirflowPowerInput {
  /** [kg/s] */
  readonly airflow: Uncertain<MassFlow>;
  /** Air over fuel by mass, as run [1]. */
  readonly airFuelRatio: Uncertain;
  /** Brake-specific fuel consumption [kg/J]. */
  readonly consumption: Uncertain<SpecificConsumption>;
}

/**
 * Brake power that an airflow is worth, with its standard uncertainty [W]: relative uncertainties in quadrature. The
 * consumption's is usually the largest by far, which is why a power from airflow is a rough one.
 *
 * @param input airflow [kg/s], air-fuel ratio [1], consumption [kg/J]
 * @throws `E_DOMAIN`
 * @source `powerFromAirflow`; JCGM 100:2008 (GUM), 5.1.6
 * @example
 * const input = {
 *   airflow: { value: gramsPerSecond(100), u: gramsPerSecond(2) },
 *   airFuelRatio: { value: 12.5, u: 0.2 },
 *   consumption: { value: gramsPerKilowattHour(300), u: gramsPerKilowattHour(15) },
 * };
 * uncertainPowerFromAirflow(input).value // ≈ 96000
 * uncertainPowerFromAirflow(input).u // ≈ 5393.1
 */
export function uncertainPowerFromAirflow(input: AirflowPowerInput): Uncertain<Power> {
  const { airflow, airFuelRatio, consumption } = input;
  const value = powerFromAirflow(airflow.value, {
    airFuelRatio: airFuelRatio.value,
    consumption: consumption.value,
  });
  let relative = 0;
  for (const [name, part] of Object.entries({ airflow, airFuelRatio, consumption })) {
    requireNumber(part.value as number, `${name}.value`, "SI", { over: 0 });
    requireNumber(part.u as number, `${name}.u`, "SI", { from: 0 });
    relative += (part.u / part.value) ** 2;
  }
  return { value, u: watts(value * Math.sqrt(relative)) };
}

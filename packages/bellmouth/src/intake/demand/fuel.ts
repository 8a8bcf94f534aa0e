import { requireNumber } from "../../fault/index.js";
import {
  kilogramsPerSecond,
  type MassFlow,
  type Power,
  type SpecificConsumption,
  watts,
} from "../../units/index.js";

// Atomic masses [g/mol], IUPAC 2021 abridged.
const CARBON = 12.011;
const HYDROGEN = 1.008;
const OXYGEN = 15.999;
// Dry air is 20.95 % oxygen by volume and weighs 28.96 g/mol; the rest takes no part.
const AIR_PER_OXYGEN = 4.773;
const AIR = 28.96;

/** A fuel by its atoms per carbon atom [1]; petrol is about 1.87 hydrogen and no oxygen. */
export interface FuelFormula {
  readonly hydrogen: number;
  readonly oxygen: number;
}

/**
 * Air over fuel by mass [1] that burns a fuel completely to carbon dioxide and water, dry air.
 *
 * @throws `E_DOMAIN` on negative numbers of atoms, or a fuel that needs no air
 * @source atom balance, J. B. Heywood, Internal Combustion Engine Fundamentals (1988), ch. 3
 * @example
 * stoichiometricAirFuelRatio({ hydrogen: 2.25, oxygen: 0 }) // ≈ 15.13
 */
export function stoichiometricAirFuelRatio(fuel: FuelFormula): number {
  const h = requireNumber(fuel.hydrogen, "fuel.hydrogen", "1", { from: 0 });
  const o = requireNumber(fuel.oxygen, "fuel.oxygen", "1", { from: 0 });
  const molecules = requireNumber(1 + h / 4 - o / 2, "fuel (oxygen it needs)", "1", { over: 0 });
  return (molecules * AIR_PER_OXYGEN * AIR) / (CARBON + HYDROGEN * h + OXYGEN * o);
}

/** How an engine turns air into work. */
export interface BurnedAir {
  /** air over fuel by mass as run [1], not the stoichiometric one */
  readonly airFuelRatio: number;
  /** brake-specific fuel consumption [kg/J] */
  readonly consumption: SpecificConsumption;
}

/**
 * Brake power [W] that an air flow makes: flow / (air-fuel ratio x specific consumption).
 *
 * @param airflow [kg/s] >= 0
 * @throws `E_DOMAIN` when the flow is negative, or the ratio or consumption is not positive
 * @source J. B. Heywood, Internal Combustion Engine Fundamentals (1988), ch. 2: definitions of both
 * @example
 * const burned = { airFuelRatio: 12.5, consumption: gramsPerKilowattHour(300) };
 * toKilowatts(powerFromAirflow(gramsPerSecond(100), burned)) // ≈ 96.000
 */
export function powerFromAirflow(airflow: MassFlow, burned: BurnedAir): Power {
  requireNumber(airflow, "airflow", "kg/s", { from: 0 });
  return watts(airflow / airPerEnergy(burned));
}

/**
 * Air [kg/s] that a brake power needs: the inverse of `powerFromAirflow`, for a power goal as a scenario.
 *
 * @param power [W] >= 0
 * @throws `E_DOMAIN` as `powerFromAirflow`
 */
export function airflowForPower(power: Power, burned: BurnedAir): MassFlow {
  requireNumber(power, "power", "W", { from: 0 });
  return kilogramsPerSecond(power * airPerEnergy(burned));
}

const airPerEnergy = ({ airFuelRatio, consumption }: BurnedAir): number =>
  requireNumber(airFuelRatio, "burned.airFuelRatio", "1", { over: 0 }) *
  requireNumber(consumption, "burned.consumption", "kg/J", { over: 0 });

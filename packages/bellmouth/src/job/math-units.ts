import { create, createUnitDependencies, type FactoryFunctionMap, type Unit, unitDependencies } from "mathjs";
import {
  HORSEPOWER_W,
  INCH_MERCURY_PA,
  INCH_WATER_PA,
  METRIC_HORSEPOWER_W,
  MM_MERCURY_PA,
  PSI_PA,
  STANDARD_GRAVITY,
} from "../units/index.js";

interface MathUnits {
  unit(value: number, expression: string): Unit;
}

let made: MathUnits | undefined;

/**
 * The unit part of mathjs, made on first use: making it takes about 60 ms, which a program that only imports the
 * documents should not pay.
 *
 * mathjs carries some trade units rounded (mmHg, hp, lbf) and reads PS as petasiemens, so those are defined here
 * from the same exact constants as the `units` room.
 *
 * @source NIST Special Publication 811 (2008), appendix B; torr: 101,325/760 Pa
 */
export function mathUnits(): MathUnits {
  if (made !== undefined) return made;
  const math = create({ unitDependencies, createUnitDependencies } as unknown as FactoryFunctionMap);
  const define = math.createUnit as unknown as (
    units: Record<string, { definition: string }>,
    options: { override: boolean },
  ) => unknown;
  const pascals = (value: number): { definition: string } => ({ definition: `${value} Pa` });
  define(
    {
      tradePsi: pascals(PSI_PA),
      tradeInchWater: pascals(INCH_WATER_PA),
      tradeMmWater: pascals(STANDARD_GRAVITY),
      tradeCmWater: pascals(10 * STANDARD_GRAVITY),
      tradeInchMercury: pascals(INCH_MERCURY_PA),
      tradeMmMercury: pascals(MM_MERCURY_PA),
      tradeTorr: pascals(101325 / 760),
      tradeHorsepower: { definition: `${HORSEPOWER_W} W` },
      tradeRpm: { definition: `${1 / 60} Hz` },
      PS: { definition: `${METRIC_HORSEPOWER_W} W` },
    },
    { override: true },
  );
  made = math as unknown as MathUnits;
  return made;
}

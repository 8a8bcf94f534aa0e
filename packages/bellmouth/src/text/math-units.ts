import {
  BigNumberDependencies,
  ComplexDependencies,
  create,
  type FactoryFunctionMap,
  FractionDependencies,
  factory,
  UnitDependencies,
} from "mathjs";
import {
  HORSEPOWER_W,
  INCH_MERCURY_PA,
  INCH_WATER_PA,
  METRIC_HORSEPOWER_W,
  MM_MERCURY_PA,
  PSI_PA,
  STANDARD_GRAVITY,
} from "../units/index.js";

/** A number with a unit, as mathjs holds it. */
interface MathUnit {
  toNumber(unit: string): number;
  equalBase(other: MathUnit): boolean;
}

interface UnitClass {
  new (value: number, expression: string): MathUnit;
  createUnit(units: Record<string, { definition: string }>, options: { override: boolean }): unknown;
}

/**
 * Arithmetic that mathjs's unit class asks for, on plain numbers. The full set, which also takes big numbers, fractions and
 * matrices, needs some 60 ms to be set up, several times what reading a document may cost; this one needs a tenth.
 */
const ARITHMETIC: { readonly [name: string]: (...given: number[]) => number | boolean | string } = {
  abs: (a = 0) => Math.abs(a),
  addScalar: (a = 0, b = 0) => a + b,
  subtractScalar: (a = 0, b = 0) => a - b,
  multiplyScalar: (a = 0, b = 0) => a * b,
  divideScalar: (a = 0, b = 0) => a / b,
  pow: (a = 0, b = 0) => a ** b,
  fix: (a = 0) => Math.trunc(a),
  round: (a = 0) => Math.round(a),
  equal: (a = 0, b = 0) => a === b,
  isNumeric: (a) => typeof a === "number",
  number: (a = 0) => Number(a),
  format: (a = 0) => String(a),
};

let made: UnitClass | undefined;

/**
 * The unit class of mathjs, made on first use, so that a program that only imports the documents does not pay for it.
 *
 * mathjs carries some trade units rounded (mmHg, hp, lbf) and reads PS as petasiemens, so those are defined here
 * from the same exact constants as the `units` room.
 *
 * @source NIST Special Publication 811 (2008), appendix B; torr: 101,325/760 Pa
 */
function unitClass(): UnitClass {
  if (made !== undefined) return made;
  const arithmetic = Object.entries(ARITHMETIC).map(([name, compute]) => [
    name,
    factory(name, [], () => compute),
  ]);
  const math = create({
    BigNumberDependencies,
    ComplexDependencies,
    FractionDependencies,
    createUnitClass: UnitDependencies?.["createUnitClass"],
    ...Object.fromEntries(arithmetic),
  } as unknown as FactoryFunctionMap);
  const { Unit } = math as unknown as { Unit: UnitClass };
  const pascals = (value: number): { definition: string } => ({ definition: `${value} Pa` });
  Unit.createUnit(
    {
      tradePsi: pascals(PSI_PA),
      tradeInchWater: pascals(INCH_WATER_PA),
      tradeMmWater: pascals(STANDARD_GRAVITY),
      tradeCmWater: pascals(10 * STANDARD_GRAVITY),
      tradeInchMercury: pascals(INCH_MERCURY_PA),
      tradeMmMercury: pascals(MM_MERCURY_PA),
      tradeTorr: pascals(101325 / 760),
      tradeHorsepower: { definition: `${HORSEPOWER_W} W` },
      // mathjs has no revolution; a turn a minute has the dimension of a hertz.
      tradeRpm: { definition: `${1 / 60} Hz` },
      PS: { definition: `${METRIC_HORSEPOWER_W} W` },
    },
    { override: true },
  );
  made = Unit;
  return made;
}

/**
 * A value of one unit in another, by mathjs; `undefined` when the two are of different dimensions.
 *
 * @param expression of the unit to convert from, in mathjs's spelling
 * @param to         the unit to convert to
 */
export function convertByMath(value: number, expression: string, to: string): number | undefined {
  const Unit = unitClass();
  const from = new Unit(value, expression);
  return from.equalBase(new Unit(1, to)) ? from.toNumber(to) : undefined;
}

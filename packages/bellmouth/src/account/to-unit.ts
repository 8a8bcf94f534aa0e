import { type Dimension, unitScale } from "../text/index.js";

/** A function from SI to a unit. */
export function toUnit(unit: string, dimension: Dimension): (si: number) => number {
  const { factor, offset } = unitScale(unit, dimension);
  return (si) => (si - offset) / factor;
}

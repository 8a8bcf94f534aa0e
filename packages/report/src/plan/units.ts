import { type Dimension, type PlanResult, unitScale } from "bellmouth/job";

/** Numbers of a plan in the units that its user counts in. */
export interface Shown {
  readonly flowUnit: string;
  readonly signalUnit: string;
  readonly flow: (si: number) => number;
  readonly signal: (si: number) => number;
}

/** A function from SI to a unit. */
export function toUnit(unit: string, dimension: Dimension): (si: number) => number {
  const { factor, offset } = unitScale(unit, dimension);
  return (si) => (si - offset) / factor;
}

export const shownUnits = (plan: PlanResult): Shown => ({
  flowUnit: plan.units.flow,
  signalUnit: plan.units.signal,
  flow: toUnit(plan.units.flow, "mass flow"),
  signal: toUnit(plan.units.signal, plan.signal),
});

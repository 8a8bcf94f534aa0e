import type { PlanResult } from "../../stage/index.js";
import { toUnit } from "../to-unit.js";

/** Numbers of a plan in the units that its user counts in. */
export interface Shown {
  readonly flowUnit: string;
  readonly signalUnit: string;
  readonly flow: (si: number) => number;
  readonly signal: (si: number) => number;
}

export const shownUnits = (plan: PlanResult): Shown => ({
  flowUnit: plan.units.flow,
  signalUnit: plan.units.signal,
  flow: toUnit(plan.units.flow, "mass flow"),
  signal: toUnit(plan.units.signal, plan.signal),
});

import { BTU_J } from "./constants.js";
import type { Energy } from "./quantity.js";

/** Marks a number that is already in joules [J]. */
export const joules = (value: number): Energy => value as Energy;
/** British thermal units (International Table) -> [J] */
export const btu = (value: number): Energy => (value * BTU_J) as Energy;
/** [J] -> British thermal units (International Table) */
export const toBtu = (value: Energy): number => value / BTU_J;

import { POUND_FORCE_N } from "./constants.js";
import type { Force } from "./quantity.js";

/** Marks a number that is already in newtons [N]. */
export const newtons = (value: number): Force => value as Force;
/** pounds-force -> [N] */
export const poundsForce = (value: number): Force => (value * POUND_FORCE_N) as Force;
/** [N] -> pounds-force */
export const toPoundsForce = (value: Force): number => value / POUND_FORCE_N;

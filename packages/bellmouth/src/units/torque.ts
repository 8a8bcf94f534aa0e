import { FOOT_M, POUND_FORCE_N } from "./constants.js";
import type { Torque } from "./quantity.js";

/** Marks a number that is already in newton metres [N m]. */
export const newtonMetres = (value: number): Torque => value as Torque;
/** pound-force feet -> [N m] */
export const poundFeet = (value: number): Torque => (value * (POUND_FORCE_N * FOOT_M)) as Torque;
/** [N m] -> pound-force feet */
export const toPoundFeet = (value: Torque): number => value / (POUND_FORCE_N * FOOT_M);

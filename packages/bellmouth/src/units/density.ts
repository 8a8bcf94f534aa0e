import { FOOT_M, POUND_KG } from "./constants.js";
import type { Density } from "./quantity.js";

/** Marks a number that is already in kilograms per cubic metre [kg/m^3]. */
export const kilogramsPerCubicMetre = (value: number): Density => value as Density;
/** pounds per cubic foot -> [kg/m^3] */
export const poundsPerCubicFoot = (value: number): Density =>
  (value * (POUND_KG / (FOOT_M * FOOT_M * FOOT_M))) as Density;
/** [kg/m^3] -> pounds per cubic foot */
export const toPoundsPerCubicFoot = (value: Density): number =>
  value / (POUND_KG / (FOOT_M * FOOT_M * FOOT_M));

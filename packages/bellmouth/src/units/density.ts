import type { Density } from "./quantity.js";

/** Marks a number that is already in kilograms per cubic metre [kg/m^3]. */
export const kilogramsPerCubicMetre = (value: number): Density => value as Density;

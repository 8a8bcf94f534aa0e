import { POUND_KG } from "./constants.js";
import type { MassFlow } from "./quantity.js";

/** Marks a number that is already in kilograms per second [kg/s]. */
export const kilogramsPerSecond = (value: number): MassFlow => value as MassFlow;
/** grams per second -> [kg/s] */
export const gramsPerSecond = (value: number): MassFlow => (value * 1e-3) as MassFlow;
/** [kg/s] -> grams per second */
export const toGramsPerSecond = (value: MassFlow): number => value / 1e-3;
/** kilograms per hour -> [kg/s] */
export const kilogramsPerHour = (value: number): MassFlow => (value * (1 / 3600)) as MassFlow;
/** [kg/s] -> kilograms per hour */
export const toKilogramsPerHour = (value: MassFlow): number => value / (1 / 3600);
/** pounds per minute -> [kg/s] */
export const poundsPerMinute = (value: number): MassFlow => (value * (POUND_KG / 60)) as MassFlow;
/** [kg/s] -> pounds per minute */
export const toPoundsPerMinute = (value: MassFlow): number => value / (POUND_KG / 60);
/** pounds per hour -> [kg/s] */
export const poundsPerHour = (value: number): MassFlow => (value * (POUND_KG / 3600)) as MassFlow;
/** [kg/s] -> pounds per hour */
export const toPoundsPerHour = (value: MassFlow): number => value / (POUND_KG / 3600);

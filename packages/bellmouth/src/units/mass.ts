import { POUND_KG } from "./constants.js";
import type { Mass } from "./quantity.js";

/** Marks a number that is already in kilograms [kg]. */
export const kilograms = (value: number): Mass => value as Mass;
/** grams -> [kg] */
export const grams = (value: number): Mass => (value * 1e-3) as Mass;
/** [kg] -> grams */
export const toGrams = (value: Mass): number => value / 1e-3;
/** pounds -> [kg] */
export const pounds = (value: number): Mass => (value * POUND_KG) as Mass;
/** [kg] -> pounds */
export const toPounds = (value: Mass): number => value / POUND_KG;

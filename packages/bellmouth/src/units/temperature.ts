import { ZERO_CELSIUS_K } from "./constants.js";
import type { Temperature } from "./quantity.js";

/** Marks a number that is already in kelvins [K]. */
export const kelvins = (value: number): Temperature => value as Temperature;
/** degrees Celsius -> [K] */
export const celsius = (value: number): Temperature => (value + ZERO_CELSIUS_K) as Temperature;
/** [K] -> degrees Celsius */
export const toCelsius = (value: Temperature): number => value - ZERO_CELSIUS_K;
/** degrees Fahrenheit -> [K] */
export const fahrenheit = (value: number): Temperature => (((value + 459.67) * 5) / 9) as Temperature;
/** [K] -> degrees Fahrenheit */
export const toFahrenheit = (value: Temperature): number => (value * 9) / 5 - 459.67;
/** degrees Rankine -> [K] */
export const rankine = (value: number): Temperature => ((value * 5) / 9) as Temperature;
/** [K] -> degrees Rankine */
export const toRankine = (value: Temperature): number => (value * 9) / 5;

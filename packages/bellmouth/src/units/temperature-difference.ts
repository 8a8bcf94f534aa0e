import type { TemperatureDifference } from "./quantity.js";

/** Marks a number that is already in kelvins difference [K]. */
export const kelvinsDifference = (value: number): TemperatureDifference => value as TemperatureDifference;
/** fahrenheit difference -> [K] */
export const fahrenheitDifference = (value: number): TemperatureDifference =>
  (value * (5 / 9)) as TemperatureDifference;
/** [K] -> fahrenheit difference */
export const toFahrenheitDifference = (value: TemperatureDifference): number => value / (5 / 9);

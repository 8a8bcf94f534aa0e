import type { Voltage } from "./quantity.js";

/** Marks a number that is already in volts [V]. */
export const volts = (value: number): Voltage => value as Voltage;
/** millivolts -> [V] */
export const millivolts = (value: number): Voltage => (value * 1e-3) as Voltage;
/** [V] -> millivolts */
export const toMillivolts = (value: Voltage): number => value / 1e-3;

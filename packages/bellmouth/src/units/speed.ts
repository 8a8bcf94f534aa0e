import { FOOT_M } from "./constants.js";
import type { Speed } from "./quantity.js";

/** Marks a number that is already in metres per second [m/s]. */
export const metresPerSecond = (value: number): Speed => value as Speed;
/** kilometres per hour -> [m/s] */
export const kilometresPerHour = (value: number): Speed => (value * (1 / 3.6)) as Speed;
/** [m/s] -> kilometres per hour */
export const toKilometresPerHour = (value: Speed): number => value / (1 / 3.6);
/** miles per hour -> [m/s] */
export const milesPerHour = (value: number): Speed => (value * ((5280 * FOOT_M) / 3600)) as Speed;
/** [m/s] -> miles per hour */
export const toMilesPerHour = (value: Speed): number => value / ((5280 * FOOT_M) / 3600);
/** feet per second -> [m/s] */
export const feetPerSecond = (value: number): Speed => (value * FOOT_M) as Speed;
/** [m/s] -> feet per second */
export const toFeetPerSecond = (value: Speed): number => value / FOOT_M;

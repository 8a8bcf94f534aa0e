import type { RotationalSpeed } from "./quantity.js";

/** Marks a number that is already in revs per second [rev/s]. */
export const revsPerSecond = (value: number): RotationalSpeed => value as RotationalSpeed;
/** revolutions per minute -> [rev/s] */
export const rpm = (value: number): RotationalSpeed => (value * (1 / 60)) as RotationalSpeed;
/** [rev/s] -> revolutions per minute */
export const toRpm = (value: RotationalSpeed): number => value / (1 / 60);

import type { Frequency } from "./quantity.js";

/** Marks a number that is already in hertz [Hz]. */
export const hertz = (value: number): Frequency => value as Frequency;
/** kilohertz -> [Hz] */
export const kilohertz = (value: number): Frequency => (value * 1e3) as Frequency;
/** [Hz] -> kilohertz */
export const toKilohertz = (value: Frequency): number => value / 1e3;

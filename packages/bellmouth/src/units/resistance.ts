import type { Resistance } from "./quantity.js";

/** Marks a number that is already in ohms [ohm]. */
export const ohms = (value: number): Resistance => value as Resistance;
/** kiloohms -> [ohm] */
export const kiloohms = (value: number): Resistance => (value * 1e3) as Resistance;
/** [ohm] -> kiloohms */
export const toKiloohms = (value: Resistance): number => value / 1e3;

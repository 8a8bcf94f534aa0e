import { ATMOSPHERE_PA, INCH_MERCURY_PA, PSI_PA } from "./constants.js";
import type { Pressure } from "./quantity.js";

/** Marks a number that is already in pascals [Pa, absolute]. */
export const pascals = (value: number): Pressure => value as Pressure;
/** kilopascals -> [Pa, absolute] */
export const kilopascals = (value: number): Pressure => (value * 1e3) as Pressure;
/** [Pa, absolute] -> kilopascals */
export const toKilopascals = (value: Pressure): number => value / 1e3;
/** millibars -> [Pa, absolute] */
export const millibars = (value: number): Pressure => (value * 100) as Pressure;
/** [Pa, absolute] -> millibars */
export const toMillibars = (value: Pressure): number => value / 100;
/** bars -> [Pa, absolute] */
export const bars = (value: number): Pressure => (value * 1e5) as Pressure;
/** [Pa, absolute] -> bars */
export const toBars = (value: Pressure): number => value / 1e5;
/** psi absolute -> [Pa, absolute] */
export const psia = (value: number): Pressure => (value * PSI_PA) as Pressure;
/** [Pa, absolute] -> psi absolute */
export const toPsia = (value: Pressure): number => value / PSI_PA;
/** conventional inches of mercury, absolute -> [Pa, absolute] */
export const inHgAbsolute = (value: number): Pressure => (value * INCH_MERCURY_PA) as Pressure;
/** [Pa, absolute] -> conventional inches of mercury, absolute */
export const toInHgAbsolute = (value: Pressure): number => value / INCH_MERCURY_PA;
/** standard atmospheres -> [Pa, absolute] */
export const atmospheres = (value: number): Pressure => (value * ATMOSPHERE_PA) as Pressure;
/** [Pa, absolute] -> standard atmospheres */
export const toAtmospheres = (value: Pressure): number => value / ATMOSPHERE_PA;

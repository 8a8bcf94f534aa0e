import {
  INCH_MERCURY_60F_PA,
  INCH_MERCURY_PA,
  INCH_WATER_4C_PA,
  INCH_WATER_60F_PA,
  INCH_WATER_PA,
  MM_MERCURY_PA,
  PSI_PA,
  STANDARD_GRAVITY,
  TORR_PA,
} from "./constants.js";
import type { PressureDifference } from "./quantity.js";

/** Marks a number that is already in pascals difference [Pa]. */
export const pascalsDifference = (value: number): PressureDifference => value as PressureDifference;
/** kilopascals difference -> [Pa] */
export const kilopascalsDifference = (value: number): PressureDifference =>
  (value * 1e3) as PressureDifference;
/** [Pa] -> kilopascals difference */
export const toKilopascalsDifference = (value: PressureDifference): number => value / 1e3;
/** millibars difference -> [Pa] */
export const millibarsDifference = (value: number): PressureDifference => (value * 100) as PressureDifference;
/** [Pa] -> millibars difference */
export const toMillibarsDifference = (value: PressureDifference): number => value / 100;
/** pounds-force per square inch -> [Pa] */
export const psi = (value: number): PressureDifference => (value * PSI_PA) as PressureDifference;
/** [Pa] -> pounds-force per square inch */
export const toPsi = (value: PressureDifference): number => value / PSI_PA;
/** conventional inches of water -> [Pa] */
export const inH2O = (value: number): PressureDifference => (value * INCH_WATER_PA) as PressureDifference;
/** [Pa] -> conventional inches of water */
export const toInH2O = (value: PressureDifference): number => value / INCH_WATER_PA;
/** conventional inches of mercury -> [Pa] */
export const inHg = (value: number): PressureDifference => (value * INCH_MERCURY_PA) as PressureDifference;
/** [Pa] -> conventional inches of mercury */
export const toInHg = (value: PressureDifference): number => value / INCH_MERCURY_PA;
/** conventional millimetres of mercury -> [Pa] */
export const mmHg = (value: number): PressureDifference => (value * MM_MERCURY_PA) as PressureDifference;
/** [Pa] -> conventional millimetres of mercury */
export const toMmHg = (value: PressureDifference): number => value / MM_MERCURY_PA;
/** inches of water at 4 °C -> [Pa] */
export const inH2O4C = (value: number): PressureDifference =>
  (value * INCH_WATER_4C_PA) as PressureDifference;
/** [Pa] -> inches of water at 4 °C */
export const toInH2O4C = (value: PressureDifference): number => value / INCH_WATER_4C_PA;
/** inches of water at 60 °F -> [Pa] */
export const inH2O60F = (value: number): PressureDifference =>
  (value * INCH_WATER_60F_PA) as PressureDifference;
/** [Pa] -> inches of water at 60 °F */
export const toInH2O60F = (value: PressureDifference): number => value / INCH_WATER_60F_PA;
/** conventional millimetres of water -> [Pa] */
export const mmH2O = (value: number): PressureDifference => (value * STANDARD_GRAVITY) as PressureDifference;
/** [Pa] -> conventional millimetres of water */
export const toMmH2O = (value: PressureDifference): number => value / STANDARD_GRAVITY;
/** inches of mercury at 60 °F -> [Pa] */
export const inHg60F = (value: number): PressureDifference =>
  (value * INCH_MERCURY_60F_PA) as PressureDifference;
/** [Pa] -> inches of mercury at 60 °F */
export const toInHg60F = (value: PressureDifference): number => value / INCH_MERCURY_60F_PA;
/** torr -> [Pa] */
export const torr = (value: number): PressureDifference => (value * TORR_PA) as PressureDifference;
/** [Pa] -> torr */
export const toTorr = (value: PressureDifference): number => value / TORR_PA;

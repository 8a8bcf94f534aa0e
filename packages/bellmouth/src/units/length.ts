import { INCH_M } from "./constants.js";
import type { Length } from "./quantity.js";

/** Marks a number that is already in metres [m]. */
export const metres = (value: number): Length => value as Length;
/** millimetres -> [m] */
export const mm = (value: number): Length => (value * 1e-3) as Length;
/** [m] -> millimetres */
export const toMm = (value: Length): number => value / 1e-3;
/** centimetres -> [m] */
export const cm = (value: number): Length => (value * 1e-2) as Length;
/** [m] -> centimetres */
export const toCm = (value: Length): number => value / 1e-2;
/** inches -> [m] */
export const inches = (value: number): Length => (value * INCH_M) as Length;
/** [m] -> inches */
export const toInches = (value: Length): number => value / INCH_M;

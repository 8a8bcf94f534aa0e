import { FOOT_M, INCH_M } from "./constants.js";
import type { Volume } from "./quantity.js";

/** Marks a number that is already in cubic metres [m^3]. */
export const cubicMetres = (value: number): Volume => value as Volume;
/** litres -> [m^3] */
export const litres = (value: number): Volume => (value * 1e-3) as Volume;
/** [m^3] -> litres */
export const toLitres = (value: Volume): number => value / 1e-3;
/** cubic centimetres -> [m^3] */
export const cm3 = (value: number): Volume => (value * 1e-6) as Volume;
/** [m^3] -> cubic centimetres */
export const toCm3 = (value: Volume): number => value / 1e-6;
/** cubic inches -> [m^3] */
export const cubicInches = (value: number): Volume => (value * (INCH_M * INCH_M * INCH_M)) as Volume;
/** [m^3] -> cubic inches */
export const toCubicInches = (value: Volume): number => value / (INCH_M * INCH_M * INCH_M);
/** cubic feet -> [m^3] */
export const cubicFeet = (value: number): Volume => (value * (FOOT_M * FOOT_M * FOOT_M)) as Volume;
/** [m^3] -> cubic feet */
export const toCubicFeet = (value: Volume): number => value / (FOOT_M * FOOT_M * FOOT_M);

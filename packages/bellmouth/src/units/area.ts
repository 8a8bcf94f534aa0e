import { INCH_M } from "./constants.js";
import type { Area } from "./quantity.js";

/** Marks a number that is already in square metres [m^2]. */
export const squareMetres = (value: number): Area => value as Area;
/** square millimetres -> [m^2] */
export const mm2 = (value: number): Area => (value * 1e-6) as Area;
/** [m^2] -> square millimetres */
export const toMm2 = (value: Area): number => value / 1e-6;
/** square centimetres -> [m^2] */
export const cm2 = (value: number): Area => (value * 1e-4) as Area;
/** [m^2] -> square centimetres */
export const toCm2 = (value: Area): number => value / 1e-4;
/** square inches -> [m^2] */
export const squareInches = (value: number): Area => (value * (INCH_M * INCH_M)) as Area;
/** [m^2] -> square inches */
export const toSquareInches = (value: Area): number => value / (INCH_M * INCH_M);
